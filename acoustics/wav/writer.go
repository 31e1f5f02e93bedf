// Package wav writes sound files: RIFF WAVE, and RF64 (EBU Tech 3306) where a
// file outgrows the 4 GiB that RIFF can count.
package wav

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"

	"afterchord/acoustics/atomicfile"
	"afterchord/acoustics/splitmix"
)

// Format is how samples are stored.
type Format int

// The formats that are written. The zero value is Int24.
const (
	Int24   Format = iota
	Int16          // with triangular dither of ±1 step
	Float32        // IEEE
)

// ParseFormat reads "16", "24" or "32f".
func ParseFormat(s string) (Format, error) {
	switch s {
	case "16":
		return Int16, nil
	case "24":
		return Int24, nil
	case "32f", "32":
		return Float32, nil
	}
	return 0, fmt.Errorf("sample format %q: expected 16, 24 or 32f", s)
}

// Bytes is the size of one sample.
func (f Format) Bytes() int { return [...]int{3, 2, 4}[f] }

// Options of a file.
type Options struct {
	Rate     int // Hz
	Channels int // 0 stands for 2
	Format   Format
	RF64     bool   // count in 64 bits if the file outgrows 4 GiB
	Seed     uint64 // of the dither
	Frames   int64  // how many are to come, if known: a file too large is then refused by Create
}

// maxRIFF is the largest count of a RIFF chunk; readers differ beyond it.
const maxRIFF = math.MaxUint32

// ErrTooLarge is wrapped by the error for a file beyond 4 GiB that may not be RF64.
var ErrTooLarge = errors.New("beyond the 4 GiB that WAV can count")

// Writer writes one file beside its final name; Close gives it the name.
type Writer struct {
	opt     Options
	file    *atomicfile.File
	buf     *bufio.Writer
	scratch []byte
	head    int
	frames  int64
	limit   int64 // bytes of data allowed
	clipped int64
	dither  uint64
	err     error
}

// Create starts the file path. Until Close there is no file of that name (or the old one stays). The file is
// [atomicfile.Recomputable], as sounds that the program writes are.
func Create(path string, o Options) (*Writer, error) {
	w, err := newWriter(o)
	if err != nil {
		return nil, err
	}
	if bytes := o.Frames * int64(w.frameBytes()); bytes > w.limit {
		return nil, w.tooLarge(bytes)
	}
	file, err := atomicfile.Create(path, atomicfile.Recomputable)
	if err != nil {
		return nil, fmt.Errorf("wav: %w", err)
	}
	w.file, w.buf = file, bufio.NewWriterSize(file, 1<<18)
	if _, err := w.buf.Write(w.header()); err != nil {
		w.Abort()
		return nil, fmt.Errorf("wav: %w", err)
	}
	return w, nil
}

// newWriter checks the options of a writer that has nowhere to write yet.
func newWriter(o Options) (*Writer, error) {
	if o.Channels == 0 {
		o.Channels = 2
	}
	switch {
	case o.Rate < 1 || o.Rate > 1<<24:
		return nil, fmt.Errorf("wav: sample rate %d Hz cannot be written", o.Rate)
	case o.Channels < 1 || o.Channels > 64:
		return nil, fmt.Errorf("wav: %d channels cannot be written", o.Channels)
	case o.Format < Int24 || o.Format > Float32:
		return nil, fmt.Errorf("wav: unknown sample format %d", int(o.Format))
	}
	w := &Writer{opt: o, dither: o.Seed}
	w.head = len(w.header())
	w.limit = math.MaxInt64
	if !o.RF64 {
		w.limit = maxRIFF - int64(w.head) - 1
	}
	return w, nil
}

func (w *Writer) frameBytes() int { return w.opt.Channels * w.opt.Format.Bytes() }

func (w *Writer) tooLarge(bytes int64) error {
	return fmt.Errorf("wav: the file would hold %.2f GiB of samples, %w; ask for RF64, 16 bit or a lower rate", float64(bytes)/(1<<30), ErrTooLarge)
}

// header for the frames written so far. Where RF64 is allowed, a JUNK chunk keeps
// the place of the ds64 chunk (EBU Tech 3306, section 3).
func (w *Writer) header() []byte {
	o, le := w.opt, binary.LittleEndian
	data := w.frames * int64(w.frameBytes())
	var b []byte
	str := func(s string) { b = append(b, s...) }
	u16 := func(v int) { b = le.AppendUint16(b, uint16(v)) }
	u32 := func(v int64) { b = le.AppendUint32(b, uint32(v)) }
	extra := 0
	if o.RF64 {
		extra = 8 + 28
	}
	size := 4 + extra + 8 + 16 + 8
	if o.Format == Float32 {
		size += 2 + 12
	}
	riff := int64(size) + data + data&1
	large := o.RF64 && riff > maxRIFF
	count := func(v int64) int64 {
		if large {
			return math.MaxUint32
		}
		return v
	}
	if large {
		str("RF64")
	} else {
		str("RIFF")
	}
	u32(count(riff))
	str("WAVE")
	if large {
		str("ds64")
		u32(28)
		b = le.AppendUint64(b, uint64(riff))
		b = le.AppendUint64(b, uint64(data))
		b = le.AppendUint64(b, uint64(w.frames))
		u32(0)
	} else if o.RF64 {
		str("JUNK")
		u32(28)
		b = append(b, make([]byte, 28)...)
	}
	str("fmt ")
	if o.Format == Float32 {
		u32(18)
		u16(3) // WAVE_FORMAT_IEEE_FLOAT
	} else {
		u32(16)
		u16(1) // WAVE_FORMAT_PCM
	}
	u16(o.Channels)
	u32(int64(o.Rate))
	u32(int64(o.Rate * w.frameBytes()))
	u16(w.frameBytes())
	u16(8 * o.Format.Bytes())
	if o.Format == Float32 {
		u16(0)
		str("fact")
		u32(4)
		u32(count(w.frames))
	}
	str("data")
	u32(count(data))
	return b
}

// Write64 appends interleaved samples; 1 is full scale.
func (w *Writer) Write64(block []float64) error {
	if w.err != nil {
		return w.err
	}
	if len(block)%w.opt.Channels != 0 {
		return fmt.Errorf("wav: %d samples do not make whole frames of %d channels", len(block), w.opt.Channels)
	}
	frames := w.frames + int64(len(block)/w.opt.Channels)
	if bytes := frames * int64(w.frameBytes()); bytes > w.limit {
		return w.fail(w.tooLarge(bytes))
	}
	b := w.scratch[:0]
	for i, v := range block {
		if math.IsNaN(v) {
			return w.fail(fmt.Errorf("wav: sample %d of frame %d is not a number", i%w.opt.Channels, w.frames+int64(i/w.opt.Channels)))
		}
		switch w.opt.Format {
		case Float32:
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
		case Int24:
			s := w.quantise(v*(1<<23), 1<<23)
			b = append(b, byte(s), byte(s>>8), byte(s>>16))
		case Int16:
			s := w.quantise(v*(1<<15)+w.triangular(), 1<<15)
			b = append(b, byte(s), byte(s>>8))
		}
	}
	w.scratch = b
	w.frames = frames
	if _, err := w.buf.Write(b); err != nil {
		return w.fail(fmt.Errorf("wav: %w", err))
	}
	return nil
}

func (w *Writer) quantise(v, full float64) int32 {
	s := math.RoundToEven(v)
	if s > full-1 || s < -full {
		w.clipped++
		s = max(-full, min(full-1, s))
	}
	return int32(s)
}

// triangular is noise of ±1 step with a triangular density (the sum of two uniform
// ones), which makes the quantisation error independent of the signal in mean and power
// (Lipshitz, Wannamaker & Vanderkooy 1992).
func (w *Writer) triangular() float64 {
	w.dither += splitmix.Step
	z := splitmix.Mix(w.dither)
	return (float64(uint32(z)) - float64(uint32(z>>32))) * (1.0 / (1 << 32))
}

func (w *Writer) fail(err error) error {
	w.err = err
	w.Abort()
	return err
}

// Close completes the header and gives the file its name. After an error there is no file.
func (w *Writer) Close() error {
	if w.err != nil {
		return w.err
	}
	data := w.frames * int64(w.frameBytes())
	if data&1 == 1 {
		if err := w.buf.WriteByte(0); err != nil {
			return w.fail(fmt.Errorf("wav: %w", err))
		}
	}
	err := w.buf.Flush()
	if w.file == nil {
		return w.endStream(err)
	}
	if err == nil {
		_, err = w.file.WriteAt(w.header(), 0)
	}
	if err == nil {
		err = w.file.Commit()
	}
	if err != nil {
		return w.fail(fmt.Errorf("wav: %w", err))
	}
	w.err = os.ErrClosed
	return nil
}

// Abort removes what was written. It is harmless after Close.
func (w *Writer) Abort() {
	if w.err == nil {
		w.err = errors.New("wav: the file was abandoned")
	}
	if w.file != nil {
		w.file.Abort()
	}
}
