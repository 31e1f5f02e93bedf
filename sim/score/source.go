package score

// SetSource keeps what a reader needs to write the score back with the rest of
// its file untouched; Clone hands it on. It is for readers and writers alone.
func (s *Score) SetSource(source any) { s.source = source }

// Source is what the reader kept with SetSource, nil where it kept nothing.
func (s *Score) Source() any { return s.source }
