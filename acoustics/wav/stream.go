package wav

import (
	"bufio"
	"fmt"
	"io"
	"os"
)

// Stream writes a file of a known number of frames (o.Frames) to out, from its first byte to its last. Close
// completes it, and errs where more or fewer were written.
func Stream(out io.Writer, o Options) (*Writer, error) {
	w, err := newWriter(o)
	if err != nil {
		return nil, err
	}
	if bytes := o.Frames * int64(w.frameBytes()); bytes > w.limit {
		return nil, w.tooLarge(bytes)
	}
	w.buf = bufio.NewWriterSize(out, 1<<18)
	w.frames = o.Frames
	head := w.header()
	w.frames = 0
	if _, err := w.buf.Write(head); err != nil {
		return nil, fmt.Errorf("wav: %w", err)
	}
	return w, nil
}

// endStream completes what Close has flushed.
func (w *Writer) endStream(err error) error {
	switch {
	case err != nil:
		return w.fail(fmt.Errorf("wav: %w", err))
	case w.frames != w.opt.Frames:
		return w.fail(fmt.Errorf("wav: %d frames were written of %d", w.frames, w.opt.Frames))
	}
	w.err = os.ErrClosed
	return nil
}
