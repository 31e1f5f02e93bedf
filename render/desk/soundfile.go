//go:build !js

package desk

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"afterchord/acoustics/wav"
	"afterchord/sim/proof"
	"afterchord/sim/sound"
)

// soundFile renders into a temporary folder and sends the whole file.
func (d *Desk) soundFile(w http.ResponseWriter, r *http.Request, p *Project, pr *proof.Proof, name string) error {
	job, err := jobOf(pr, streamRate, strings.HasPrefix(name, "dry"), strings.HasSuffix(name, "-ears.wav"))
	if err != nil {
		return err
	}
	if err := d.sounds.enter(r.Context()); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "afterchord-desk-")
	if err == nil {
		defer os.RemoveAll(dir)
		_, err = sound.RenderFile(r.Context(), job, filepath.Join(dir, "sound.wav"), wav.Int24, nil)
	}
	d.sounds.leave()
	if err != nil {
		return err
	}
	f, err := os.Open(filepath.Join(dir, "sound.wav"))
	if err != nil {
		return err
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return err
	}
	attach(w, p.Name, name)
	http.ServeContent(w, r, name, st.ModTime(), f)
	return nil
}
