package desk

import (
	"net/http"
	"strings"

	"afterchord/acoustics/wav"
	"afterchord/sim/proof"
	"afterchord/sim/sound"
)

// soundFile renders in memory, where a page has no disk, and sends the whole file.
func (d *Desk) soundFile(w http.ResponseWriter, r *http.Request, p *Project, pr *proof.Proof, name string) error {
	job, err := jobOf(pr, streamRate, strings.HasPrefix(name, "dry"), strings.HasSuffix(name, "-ears.wav"))
	if err != nil {
		return err
	}
	if err := d.sounds.enter(r.Context()); err != nil {
		return err
	}
	defer d.sounds.leave()
	attach(w, p.Name, name)
	_, err = sound.RenderStream(r.Context(), job, w, wav.Int24, func(float64, float64) { d.opt.Breathe() })
	return err
}
