// Command soundpage writes a page on which the sound can be looked at: of every built-in room the response at each seat, as a spectrogram
// and as the decay that octave filters measure of it; of every demo piece a spectrogram of what is heard, and its level beside the energy
// model's. A staircase in a tail, a step between bands, a click or a decay that bends shows there. Run it from the top folder:
//
//	go run ./cmd/soundpage sound.html
package main

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"os"

	"afterchord/acoustics/atomicfile"
	"afterchord/acoustics/response"
	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/score/file"
	_ "afterchord/sim/score/musicxml"
	_ "afterchord/sim/score/smf"
	"afterchord/sim/sound"
	"afterchord/voicing"
)

const rate = 48000

// entry is one thing to look at.
type entry struct {
	Title       string
	Spectrogram template.URL
	LengthS     float64
	Picture     template.HTML
	Table       [][4]string
}

// mark is a frequency beside a spectrogram.
type mark struct {
	Text   string
	Height float64 // above its bottom, %
}

var marks = []mark{{"100 Hz", 100 * heightOf(100)}, {"1 kHz", 100 * heightOf(1000)}, {"10 kHz", 100 * heightOf(10000)}}

var page = template.Must(template.New("page").Funcs(template.FuncMap{"marks": func() []mark { return marks }}).Parse(`<!doctype html><html lang="en"><meta charset="utf-8"><title>The sound, to look at</title>
<style>body{font:15px/1.5 sans-serif;max-width:1000px;margin:2em auto;padding:0 1em}figure{position:relative;width:900px;margin:0 0 1.6em 60px}img{display:block;width:900px;height:260px;border:1px solid #ccc}
figure span{position:absolute;right:906px;font-size:12px;white-space:nowrap;transform:translateY(50%)}figcaption{font-size:12px;display:flex;justify-content:space-between}
table{border-collapse:collapse;font-size:13px;margin-left:60px}td,th{padding:1px 12px;text-align:right}svg{max-width:100%;height:auto}</style>
<h1>The sound, to look at</h1>
<p>Rooms: the response to an impulse at the organ, heard at each seat, and the decay that octave filters measure of it beside what <code>room show</code> prints. A good tail thins out smoothly from the top, without steps from band to band,
and its decays are straight; those of a church with a choir that goes on ringing bend.</p>
<p>Pieces: the demos on the minster organ in the middle of the cathedral, and their level beside that of the energy model. The two follow each other; a soft chord of few pipes may lie some decibels off, more often below than above, as each tone finds its own standing waves.</p>
<p>Spectrograms go from 30 Hz to 16 kHz on a logarithmic scale, and from black down to white 90 dB below.</p>
{{range .}}<h2>{{.Title}}</h2><figure><img src="{{.Spectrogram}}" alt="Spectrogram: {{.Title}}">{{range marks}}<span style="bottom:calc(18px + {{printf "%.1f" .Height}}% * .93)">{{.Text}}</span>{{end}}
<figcaption><i>0 s</i><i>{{printf "%.1f" .LengthS}} s</i></figcaption></figure>{{.Picture}}
{{with .Table}}<table><tr><th>octave band<th>T30 by room show<th>T30 of the sound<th>difference</tr>{{range .}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>{{end}}</table>{{end}}{{end}}</html>
`))

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "soundpage:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) != 1 {
		return errors.New("give the file to write, for example: go run ./cmd/soundpage sound.html")
	}
	var all []entry
	for _, name := range room.BuiltIns() {
		r, _ := room.BuiltIn(name)
		for _, seat := range r.Seats {
			fmt.Fprintln(os.Stderr, name, seat.Name)
			e, err := ofRoom(r, seat)
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			all = append(all, e)
		}
	}
	for _, name := range demos.Names {
		fmt.Fprintln(os.Stderr, name)
		e, err := ofDemo(name)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, e)
	}
	var b bytes.Buffer
	if err := page.Execute(&b, all); err != nil {
		return err
	}
	return atomicfile.WriteFile(args[0], b.Bytes())
}

func ofRoom(r *room.Room, seat room.Seat) (entry, error) {
	e := entry{Title: r.Title + ", " + seat.Name}
	whole, path := response.Organ(r, seat, rate), r.OrganPath(seat)
	picture, table, err := decays(whole, &path)
	if err != nil {
		return e, err
	}
	e.Picture, e.Table = template.HTML(picture), table
	err = e.draw(single(whole.L), single(whole.R))
	return e, err
}

// ofDemo is a demo piece on the minster organ in the middle of the cathedral.
func ofDemo(name string) (entry, error) {
	data, _ := demos.Piece(name)
	s, err := file.Read(data, demos.File(name))
	if err != nil {
		return entry{}, err
	}
	e := entry{Title: name + ": " + s.Title}
	hall, _ := room.BuiltIn("cathedral")
	organ, _ := voicing.BuiltIn("minster")
	seat, err := hall.Seat("middle")
	if err != nil {
		return e, err
	}
	p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ})
	if err != nil {
		return e, err
	}
	job := p.Job(rate, false)
	// The samples are pressures in 20 µPa.
	const fullScaleDB = 160
	job.FullScaleDB = fullScaleDB
	var l, r []float32
	if _, err := sound.Render(context.Background(), job, func(block []float32) error {
		for i := 0; i+1 < len(block); i += 2 {
			l, r = append(l, block[i]*1e8), append(r, block[i+1]*1e8)
		}
		return nil
	}, nil); err != nil {
		return e, err
	}
	picture, err := levels(l, r, rate, p.Field)
	if err != nil {
		return e, err
	}
	e.Picture = template.HTML(picture)
	err = e.draw(l, r)
	return e, err
}

func (e *entry) draw(l, r []float32) error {
	data, err := spectrogram(l, r, rate)
	e.LengthS = float64(len(l)) / rate
	e.Spectrogram = template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(data))
	return err
}

func single(x []float64) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = float32(v)
	}
	return out
}
