package score

import (
	"errors"
	"io"
)

// ReadSMF reads a Standard MIDI File (format 0 or 1). file is the name that messages use.
func ReadSMF(data []byte, file string) (*Score, error) { return nil, errors.New("not yet") }

// WriteSMF writes the score as a Standard MIDI File.
func (s *Score) WriteSMF(w io.Writer) error { return errors.New("not yet") }

// AnnotateSMF writes the score with the words added.
func (s *Score) AnnotateSMF(w io.Writer, words []Word) error { return errors.New("not yet") }
