package table

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"afterchord/acoustics/plural"
	"afterchord/render/internal/words"
	"afterchord/sim/proof"
	"afterchord/voicing"
)

// Settings prints what the run was made with: piece, room, organ, tempo, who plays what,
// and what had to be assumed.
func Settings(w io.Writer, d *proof.Document, o Options) error {
	t := table.NewWriter()
	style := o.style()
	style.Options.SeparateHeader = false
	t.SetStyle(style)
	t.SetColumnConfigs([]table.ColumnConfig{
		{Number: 1, WidthMax: 16},
		{Number: 2, WidthMax: o.width() - 20, WidthMaxEnforcer: text.WrapSoft},
	})
	add := func(name, format string, a ...any) {
		t.AppendRow(table.Row{name, o.clean(fmt.Sprintf(format, a...))})
	}
	add("piece", "%s (%s): %s, %s, %s", either(d.Score.Title, d.Score.File), d.Score.Format, plural.Count(d.Score.Bars, "bar"), plural.Count(d.Score.Notes, "note"), words.Length(d.Score.DurationS))
	room := either(d.Room.Title, d.Room.Name)
	if a, b := d.Room.RT60["500"], d.Room.RT60["1000"]; a > 0 && b > 0 {
		room += fmt.Sprintf(", RT %s s (%s s at 500 Hz, %s s at 1 kHz)", words.Number((a+b)/2, 1), words.Number(a, 1), words.Number(b, 1))
	}
	add("room", "%s; %s", room, seat(d.Room))
	add("organ", "%s", either(d.Organ.Title, d.Organ.Name))
	tempo := words.Number(d.Settings.Crotchets, 0) + " crotchets a minute"
	if d.Settings.ReadAs != "" {
		tempo += ", " + d.Settings.ReadAs
	}
	if f := d.Settings.TempoFactor; f > 0 && f != 1 {
		tempo += " (" + words.Number(f, 2) + " of the score's)"
	}
	add("tempo", "%s", tempo)
	assumed := ""
	for _, m := range d.Organ.Mapping {
		add("part", "%s -> %s (%s)", m.Part, m.Division, m.Why)
		if m.Assumed && assumed == "" {
			assumed = m.Part
		}
	}
	if assumed != "" {
		add("", "if that is not so: --assign %q (%s or none)", assumed+"="+otherDivision(d, assumed), strings.Join(d.Divisions, ", "))
	}
	const most = 8
	for i, r := range d.Remarks {
		if i == most {
			add("remark", "%d more in the JSON document", len(d.Remarks)-most)
			break
		}
		if r.Bar > 0 {
			add("remark", "bar %d: %s", r.Bar, r.Text)
		} else {
			add("remark", "%s", r.Text)
		}
	}
	var b bytes.Buffer
	for _, l := range strings.Split(t.Render(), "\n") {
		b.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	return write(w, b.String())
}

// seat says where the listener sits: by its name and distance, or by the distance that was asked for.
func seat(r proof.RoomInfo) string {
	if _, err := strconv.ParseFloat(r.Seat, 64); err == nil {
		return "seat " + r.Seat + " m from the organ"
	}
	return fmt.Sprintf("seat %s, %s m", r.Seat, words.Number(r.DistanceM, 0))
}

func either(a, b string) string {
	if strings.TrimSpace(a) != "" {
		return a
	}
	return b
}

// otherDivision is a manual on which a part is not played, for an example; "none" where there is no other.
func otherDivision(d *proof.Document, part string) string {
	for _, m := range d.Organ.Mapping {
		for _, name := range d.Divisions {
			if m.Part == part && name != m.Division && !voicing.IsPedalName(name) {
				return name
			}
		}
	}
	return "none"
}
