package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
	"afterchord/render/results"
	"afterchord/render/table"

	"github.com/spf13/cobra"
)

type roomMake struct {
	volume   float64
	size     string
	surfaces []string
	people   int
	occupied string
	temp     float64
	humidity float64
	formula  string
	title    string
	out      string
	force    bool

	answers map[string]*string // by question
	steps   bool
	counted float64
	organ   string
}

func newRoomMake() *cobra.Command {
	var f roomMake
	cmd := &cobra.Command{
		Use:   "make",
		Short: "make a room from its surfaces, from a description in words, or from counted seconds",
		Long: `make works out the reverberation time of a room in one of three ways:

  --surface    from what it is built of: a material (see 'afterchord room materials') and
               its area in m² for each surface. Surfaces left out count as reflecting
               everything: give doors, altars, organ case, openings and gaps as "all else",
               with the area of floor, ceiling and walls together.
  --walls, --ceiling, --floor, --windows, --seats, --carpet with --size
               from a description in words, where nothing is measured. What is not said
               is assumed: the first word of each. The time has a wide range, which is
               printed and goes into the file.
  --counted    from the seconds that you count after a full chord until nothing is left to
               hear, with --organ as yours: the church in which this program's ear would
               hear such a chord for as long. It needs no size, and has a range too.

It prints the time per octave band, empty, half full and full, and what absorbs how much;
--out writes a room file for 'proof --room'. A few hand claps tell more than any of
these: 'afterchord room measure'.`,
		Example: `  afterchord room make --size 40x16x14 --steps --walls stone --ceiling "wooden vault" --people 200 --out our-church.toml
  afterchord room make --counted 5 --out our-church.toml
  afterchord room make --size 30x12x11 --surface "stone floor 360" --surface "plaster on masonry 1224" --surface "all else 1644" --people 200 --out our-church.toml
  afterchord room make --volume 4500 --surface "stone wall 1700" --surface "small panes 80" --surface "all else 1800" --people 300 --occupied half`,
		Args: exactly(0, "flags only"),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd) },
	}
	fl := cmd.Flags()
	fl.Float64Var(&f.volume, "volume", 0, "volume, m³ (left out: from --size)")
	fl.StringVar(&f.size, "size", "", "length x width x height, m: 30x12.5x12 (left out: the proportions of a nave)")
	fl.StringArrayVar(&f.surfaces, "surface", nil, `material and area in m²: "stone floor 600" (repeat for each)`)
	fl.IntVar(&f.people, "people", 0, "how many people are there, or, with --occupied, how many it seats")
	fl.StringVar(&f.occupied, "occupied", "", "empty, half or full: how many of --people are there")
	fl.Float64Var(&f.temp, "temp", 18, "temperature, °C")
	fl.Float64Var(&f.humidity, "humidity", 60, "relative humidity, %")
	f.answers = map[string]*string{}
	for _, q := range room.Questions() {
		f.answers[q] = fl.String(q, "", strings.Join(room.DescriptionWords(q), ", "))
	}
	fl.BoolVar(&f.steps, "steps", false, fmt.Sprintf("the lengths of --size are counted in steps, of %g m each", stepM))
	fl.Float64Var(&f.counted, "counted", 0, "seconds counted after a full chord until nothing is left to hear")
	fl.StringVar(&f.organ, "organ", "minster", "with --counted: built-in organ or organ file (.toml)")
	fl.StringVar(&f.formula, "formula", "sabine", "sabine, or eyring for rooms that absorb much")
	fl.StringVar(&f.title, "title", "", "the room's full name")
	fl.StringVarP(&f.out, "out", "o", "", "room file to write (.toml)")
	registerForce(cmd, &f.force)
	return cmd
}

func (f *roomMake) plan(cmd *cobra.Command) (room.Plan, error) {
	p := room.Plan{Name: "room", Title: f.title, VolumeM3: f.volume, People: f.people, TempC: f.temp, Humidity: f.humidity}
	if f.out != "" {
		if err := checkTOML(f.out, "a room"); err != nil {
			return p, err
		}
		p.Name = baseName(f.out)
	}
	if p.Title == "" {
		p.Title = p.Name
	}
	switch f.formula {
	case "sabine":
	case "eyring":
		p.Eyring = true
	default:
		return p, usagef("--formula %q: use sabine or eyring", f.formula)
	}
	if f.size != "" {
		var err error
		if p.SizeM, err = parseSize(f.size); err != nil {
			return p, err
		}
		if f.steps {
			for i := range p.SizeM {
				p.SizeM[i] *= stepM
			}
		}
		if box := p.SizeM[0] * p.SizeM[1] * p.SizeM[2]; f.volume == 0 {
			p.VolumeM3 = box
		} else if f.volume > 1.001*box {
			return p, usagef("--volume %s: a room of %s m holds %s m³ at most", plain(f.volume), f.size, plain(box))
		}
	}
	if p.VolumeM3 == 0 {
		return p, usagef("how large is the room? give --volume in m³ or --size in m")
	}
	if f.inWords(cmd) {
		return f.describe(p)
	}
	if len(f.surfaces) == 0 {
		return p, usagef(`what is the room built of? say it in words (--walls stone), or give --surface "stone floor 600" for each surface`)
	}
	for _, s := range f.surfaces {
		surface, err := room.ParseSurface(s)
		if err != nil {
			return p, usageError{err}
		}
		p.Surfaces = append(p.Surfaces, surface)
	}
	return p, nil
}

// parseSize reads "30x12.5x12" or "30, 12.5, 12".
func parseSize(text string) (size [3]float64, err error) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("xX×,; ", r) })
	if len(parts) != 3 {
		return size, usagef("--size %q: give length x width x height in m, such as 30x12.5x12", text)
	}
	for i, s := range parts {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || !(v >= 1.5 && v <= 500) {
			return size, usagef("--size %q: %q is not a length from 1.5 to 500 m", text, s)
		}
		size[i] = v
	}
	return size, nil
}

func (f *roomMake) run(cmd *cobra.Command) error {
	if cmd.Flags().Changed("counted") {
		return f.count(cmd)
	}
	p, err := f.plan(cmd)
	if err != nil {
		return err
	}
	if err := results.CheckFile(f.out, f.force); err != nil {
		return err
	}
	seated := p.People
	switch f.occupied {
	case "":
	case "empty":
		p.People = 0
	case "half":
		p.People /= 2
	case "full":
	default:
		return usagef("--occupied %q: use empty, half or full", f.occupied)
	}
	if f.occupied != "" && seated == 0 {
		return usagef("--occupied %s: say with --people how many the room seats", f.occupied)
	}
	if _, err := p.Room(); err != nil {
		return usageError{err}
	}
	w, o := cmd.OutOrStdout(), screen()
	if err := writePlan(w, o, p, seated); err != nil {
		return err
	}
	cautions := p.Cautions
	if c := p.TooLong(); c != "" {
		cautions = append(slices.Clip(cautions), c)
	}
	for _, c := range cautions {
		if _, err := fmt.Fprintln(w, o.Text(c)); err != nil {
			return err
		}
	}
	if f.out == "" {
		return nil
	}
	if err := writeOwn(f.out, p.WriteTOML); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "\n%s\n", f.out)
	return err
}

// writePlan prints the times of p and what absorbs how much. Where people can come and go the times are given for the room
// empty, half full and full.
func writePlan(w io.Writer, o table.Options, p room.Plan, seated int) error {
	title := fmt.Sprintf("%s: %s m³, %d people, %s °C, %s %% relative humidity", p.Title, plain(p.VolumeM3), p.People, plain(p.TempC), plain(p.Humidity))
	if _, err := fmt.Fprintf(w, "%s\n\nReverberation time, s\n", o.Text(title)); err != nil {
		return err
	}
	head := []string{"people"}
	for _, hz := range octave.Centres {
		head = append(head, ">"+plain(hz)+" Hz")
	}
	counts := []int{p.People}
	if seated > 0 {
		counts = []int{0, seated / 2, seated}
		if p.People != 0 && p.People != seated/2 && p.People != seated {
			counts = append(counts, p.People)
		}
	}
	var rows [][]string
	for _, n := range counts {
		q := p
		q.People = n
		row := []string{strconv.Itoa(n)}
		for _, t := range q.RT60() {
			row = append(row, fixed(t, 2))
		}
		rows = append(rows, row)
	}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "\n%s\n", o.Text("Absorption area, m²")); err != nil {
		return err
	}
	return writeBudget(w, o, p, head)
}

// writeBudget prints the absorption area of each surface, the people and the air.
func writeBudget(w io.Writer, o table.Options, p room.Plan, head []string) error {
	head = append([]string{"what", ">m²"}, head[1:]...)
	area := func(a octave.Bands) []string {
		var row []string
		for _, v := range a {
			row = append(row, fixed(v, 1))
		}
		return row
	}
	var rows [][]string
	surface := 0.0
	for _, s := range p.Surfaces {
		surface += s.AreaM2
		only := room.Plan{Surfaces: []room.Surface{s}, TempC: p.TempC, Humidity: p.Humidity}
		rows = append(rows, append([]string{s.Material, plain(s.AreaM2)}, area(only.Area())...))
	}
	if p.People > 0 {
		only := room.Plan{People: p.People, TempC: p.TempC, Humidity: p.Humidity}
		rows = append(rows, append([]string{"people", ""}, area(only.Area())...))
	}
	air := room.Plan{VolumeM3: p.VolumeM3, TempC: p.TempC, Humidity: p.Humidity}
	rows = append(rows, append([]string{"air", ""}, area(air.Area())...))
	rows = append(rows, append([]string{"all", plain(surface)}, area(p.Area())...))
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	for _, r := range planRemarks(p, surface) {
		if _, err := fmt.Fprintln(w, o.Text(r)); err != nil {
			return err
		}
	}
	return nil
}

// planRemarks says what looks wrong in a plan that can be computed.
func planRemarks(p room.Plan, surface float64) []string {
	var out []string
	least, shape := 6*math.Pow(p.VolumeM3, 2.0/3), "a box of this volume"
	if s := p.SizeM; s != ([3]float64{}) {
		least, shape = 2*(s[0]*s[1]+s[0]*s[2]+s[1]*s[2]), "a box of this size"
	}
	if surface < 0.95*least {
		out = append(out, fmt.Sprintf("remark: the surfaces add up to %.0f m², %s has at least %.0f m²; surfaces left out count as reflecting everything", surface, shape, least))
	}
	var mean float64
	for _, s := range p.Surfaces {
		mean += s.AreaM2 * (s.Alpha[octave.Index(500)] + s.Alpha[octave.Index(1000)]) / 2 / surface
	}
	if mean > 0.3 && !p.Eyring {
		out = append(out, fmt.Sprintf("remark: the mean absorption is %.2f; above 0.3 Sabine's formula gives too long a time, use --formula eyring", mean))
	}
	return out
}

func newRoomMaterials() *cobra.Command {
	return &cobra.Command{
		Use:   "materials",
		Short: "list the materials that surfaces can be made of, with their sources",
		Long: `materials lists the absorption coefficients per octave band and where each row was
read. Below 125 Hz the first value holds, above 4 kHz the last. A measured figure for the
surface in hand is always better than a table: give it in the room file.`,
		Example: "  afterchord room materials",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			head := []string{"material"}
			for _, hz := range octave.Centres[2:8] {
				head = append(head, ">"+plain(hz)+" Hz")
			}
			var rows [][]string
			for _, m := range room.Materials() {
				row := []string{m.Name}
				for _, a := range m.Alpha[2:8] {
					row = append(row, fixed(a, 2))
				}
				rows = append(rows, append(row, m.Source))
			}
			person := []string{"one person, m²"}
			area := room.PersonArea()
			for _, a := range area[2:8] {
				person = append(person, fixed(a, 2))
			}
			rows = append(rows, append(person, room.PersonSource()))
			w, o := cmd.OutOrStdout(), screen()
			if err := table.Grid(w, o, append(head, "source"), rows); err != nil {
				return err
			}
			text := "\n"
			for _, x := range room.MaterialOrigins() {
				text += fmt.Sprintf("%-10s %s\n", x.Name, x.Text)
			}
			return writeLines(w, o, text)
		},
	}
}
