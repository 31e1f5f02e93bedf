package report

import (
	_ "embed" // the script that explains terms
	"html/template"
	"strings"

	"afterchord/render/internal/words"
)

// ExplainScript is the module explain.js, which shows what a term means.
//
//go:embed explain.js
var ExplainScript string

// Terms explains, by a short name, what not everybody who writes music knows. EDT, C80 and D50 are those of ISO 3382-1.
var Terms = map[string]string{
	"rt":       "Reverberation time (RT60): how long a loud sound takes to die away by 60 dB, after the keys are up. At 500 Hz, near the b above middle c; the bass usually rings longer, the treble shorter.",
	"share":    "Of the sound that is struck here, how much the ear makes out beside what still rings: nothing at 0 %, all of it, as if it sounded alone, at 100 %. Computed as partial loudness.",
	"db":       "Decibels. 10 dB more sound about twice as loud; 1 dB is just noticed. Levels at the seat: talk about 60 dB, full organ in a church 90 to 100 dB.",
	"edt":      "Early decay time: the reverberation that is heard while the music goes on, from the first 10 dB of the decay and reckoned to 60 dB.",
	"c80":      "Clarity: the energy of the first 80 ms against all that comes later, in decibels. At 0 dB half of it is early; the lower, the more the room covers quick music.",
	"d50":      "Definition: the share of the energy that arrives within the first 50 ms.",
	"critical": "Where the sound straight from the organ and the sound of the room are equally strong. Farther away the room is the stronger.",
	"dba":      "The noise of the building while nobody plays, its low and very high sounds counted less, as the ear hears soft sounds.",
}

// term is a word that explains itself and is reached by the Tab key; hovered is one that is not, where it stands many times.
func term(name, text string) template.HTML {
	return template.HTML(`<button type="button" class="term" data-term="` + name + `" aria-describedby="term-` + name + `">` + template.HTMLEscapeString(text) + `</button>`)
}

func hovered(name, text string) template.HTML {
	return template.HTML(`<span class="term" data-term="` + name + `">` + template.HTMLEscapeString(text) + `</span>`)
}

// labelOf and amountOf are a figure's, with what explains them.
func labelOf(f words.Figure) template.HTML {
	if strings.HasSuffix(f.Key, "share") {
		return hovered("share", f.Label)
	}
	return template.HTML(template.HTMLEscapeString(f.Label))
}

func amountOf(f words.Figure) template.HTML {
	if f.Unit == "dB" {
		return template.HTML(template.HTMLEscapeString(f.Value)+" ") + hovered("db", "dB")
	}
	return template.HTML(template.HTMLEscapeString(f.Amount()))
}
