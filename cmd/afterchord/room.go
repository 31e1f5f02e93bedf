package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
	"afterchord/render/figures"
	"afterchord/render/table"

	"github.com/spf13/cobra"
)

func newRoom() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "room",
		Short: "list, show, make and measure rooms",
		Args:  noSuch,
		RunE:  func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newRoomList(), newRoomShow(), newRoomMake(), newRoomMaterials(), newRoomMeasure(), newRoomCheck())
	return cmd
}

// noSuch refuses a subcommand that does not exist.
func noSuch(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usagef("there is no command %q in '%s'%s", args[0], cmd.CommandPath(), ask(cmd, "", nearestCommand(cmd, args[0])))
	}
	return nil
}

func newRoomList() *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "list the built-in rooms",
		Example: "  afterchord room list",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			var rows [][]string
			for _, name := range room.BuiltIns() {
				r, _ := room.BuiltIn(name)
				rows = append(rows, []string{r.Name, r.Title, fixed(r.MidRT(), 1), fixed(r.RT(125), 1), fixed(r.VolumeM3, 0),
					fmt.Sprintf("%s x %s x %s", plain(r.SizeM[0]), plain(r.SizeM[1]), plain(r.SizeM[2])), seatList(r)})
			}
			return table.Grid(cmd.OutOrStdout(), screen(), []string{"name", "title", ">RT 500-1k, s", ">RT 125, s", ">volume, m³", "l x w x h, m", "seats, m"}, rows)
		},
	}
}

// seatList is every listener's seat with its distance along the room.
func seatList(r *room.Room) string {
	var s []string
	for _, seat := range r.Seats {
		if seat.Name != "console" {
			s = append(s, seat.Name+" "+plain(seat.At.Y))
		}
	}
	return strings.Join(s, ", ")
}

type roomShow struct {
	people     string
	rt, volume float64
	seat       string
	toml       bool
	picture
}

func newRoomShow() *cobra.Command {
	var f roomShow
	cmd := &cobra.Command{
		Use:   "show ROOM",
		Short: "print what a room does to sound, per octave band at a seat",
		Long: `show prints ROOM (a built-in room, a room file, a measured response, or --rt alone) as
heard at a seat from the organ's middle, per octave band:
  RT60  reverberation time              EDT  early decay time
  C80   early-to-late ratio at 80 ms    D50  share of the energy within 50 ms
  Ts    centre time                     G    level re the direct sound at 10 m in the open
and, seat by seat, how these change from the front to the back. Definitions: ISO 3382-1.`,
		Example: `  afterchord room show cathedral
  afterchord room show --rt 3.5 --volume 6000 --seat back
  afterchord room show abbey --people full
  afterchord room show our-church.toml --png our-church.png`,
		Args: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("rt") {
				if len(args) > 0 {
					return usagef("give a room or --rt, not both")
				}
				return nil
			}
			return exactly(1, "one ROOM or --rt")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args) },
	}
	fl := cmd.Flags()
	fl.Float64Var(&f.rt, "rt", 0, "reverberation time in seconds, mean of 500 Hz and 1 kHz (replaces ROOM)")
	fl.Float64Var(&f.volume, "volume", 0, "with --rt: the room's volume, m³ (left out: guessed from the time)")
	fl.StringVar(&f.people, "people", "empty", "how many people sit in the room: a number, or empty, half or full")
	fl.StringVar(&f.seat, "seat", "middle", "front, middle, back, console, or metres from the organ")
	fl.BoolVar(&f.toml, "toml", false, "print the room file, to start one's own from")
	f.register(cmd)
	return cmd
}

func (f *roomShow) run(cmd *cobra.Command, args []string) error {
	if err := f.check(args...); err != nil {
		return err
	}
	var r *room.Room
	var err error
	if len(args) == 0 {
		if r, err = room.FromRTAndVolume(f.rt, f.volume); err != nil {
			return usageError{err}
		}
	} else if cmd.Flags().Changed("volume") {
		return usagef("--volume goes with --rt; a room file has its own volume")
	} else if r, err = loadRoom(args[0]); err != nil {
		return err
	}
	if r, err = peopled(r, f.people); err != nil {
		return err
	}
	seat, err := r.Seat(f.seat)
	if err != nil {
		return usageError{err}
	}
	if f.toml {
		return r.WriteTOML(cmd.OutOrStdout())
	}
	if err := writeRoom(cmd.OutOrStdout(), screen(), r, seat); err != nil {
		return err
	}
	if len(args) == 0 && f.volume == 0 {
		fmt.Fprintln(cmd.OutOrStdout(), "\nThe volume is a guess from the time; half or twice as much is as likely. Give --volume where you know it.")
	}
	return f.draw(func() (figures.Figure, error) { return figures.Room(r, seat) })
}

// writeRoom prints what is known of r and what it does at seat.
func writeRoom(w io.Writer, o table.Options, r *room.Room, seat room.Seat) error {
	c := air.SpeedOfSound(r.TempC)
	mid := r.MidRT()
	lines := []string{
		r.Title,
		fmt.Sprintf("%s m³, %s x %s x %s m; %s °C, %s %% relative humidity", fixed(r.VolumeM3, 0), metres(r.SizeM[0]), metres(r.SizeM[1]), metres(r.SizeM[2]), plain(r.TempC), plain(r.Humidity)),
		fmt.Sprintf("critical distance %s m (500 Hz to 1 kHz); background noise %s dB(A)", fixed(decay.CriticalDistance(r.VolumeM3, mid, c), 1), fixed(r.NoiseDBA(), 0)),
	}
	if r.Measured == nil && !r.ConcertHall {
		lines = append(lines, "a church: the first reflections weaken with distance (kind = \"hall\" in a room file for a concert hall)")
	}
	if r.Slow != nil {
		lines = append(lines, fmt.Sprintf("coupled space: a second decay of %s s at 500 Hz, %s dB below the first at its start", fixed(r.Slow.RT60[octave.Index(500)], 1), fixed(-r.Slow.LevelDB, 1)))
	}
	if r.Measured != nil {
		return writeMeasuredRoom(w, o, r, lines)
	}
	path := r.OrganPath(seat)
	lines = append(lines, "", fmt.Sprintf("From the organ to the seat %s: %s m, %s ms", seat.Name, fixed(path.DistanceM, 1), fixed(1000*path.DelayS, 0)))
	if err := writeLines(w, o, strings.Join(lines, "\n")); err != nil {
		return err
	}
	if err := table.Grid(w, o, bandHead, roomBands(r, &path)); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "\nSeats, mean of 500 Hz and 1 kHz\n"); err != nil {
		return err
	}
	var rows [][]string
	for _, s := range r.Seats {
		p := r.OrganPath(s)
		mean := func(f func(band int) float64) float64 { return (f(octave.Index(500)) + f(octave.Index(1000))) / 2 }
		rows = append(rows, []string{s.Name, fixed(p.DistanceM, 1), fixed(1000*p.DelayS, 0), fixed(mean(p.EarlyDecayTime), 2), fixed(mean(p.ClarityC80), 1),
			fixed(100*mean(p.DefinitionD50), 0), fixed(1000*mean(p.CentreTimeTs), 0), fixed(mean(func(b int) float64 { return r.StrengthG(&p, b) }), 1),
			fixed(mean(p.DirectToReverberant), 1)})
	}
	return table.Grid(w, o, []string{"seat", ">distance, m", ">delay, ms", ">EDT, s", ">C80, dB", ">D50, %", ">Ts, ms", ">G, dB", ">direct re reverberant, dB"}, rows)
}

// writeMeasuredRoom prints a measured room by what its response holds, which is one place for source and listener.
func writeMeasuredRoom(w io.Writer, o table.Options, r *room.Room, lines []string) error {
	lines = append(lines, "", "Measured response; its figures hold for the place where it was recorded, whatever the seat.",
		"It does not say how strong the room makes a source (G); volume and noise are assumed unless the room file gives them.")
	if err := writeLines(w, o, strings.Join(lines, "\n")); err != nil {
		return err
	}
	m, err := measure.Response(r.Measured)
	if err != nil {
		return fmt.Errorf("%s: %w", r.Name, err)
	}
	return writeMeasures(w, o, m)
}

var bandHead = []string{">band, Hz", ">RT60, s", ">EDT, s", ">C80, dB", ">D50, %", ">Ts, ms", ">G, dB", ">noise, dB"}

func roomBands(r *room.Room, p *room.Path) [][]string {
	var rows [][]string
	for b, hz := range octave.Centres {
		rows = append(rows, []string{plain(hz), fixed(p.ReverberationT30(b), 2), fixed(p.EarlyDecayTime(b), 2), fixed(p.ClarityC80(b), 1),
			fixed(100*p.DefinitionD50(b), 0), fixed(1000*p.CentreTimeTs(b), 0), fixed(r.StrengthG(p, b), 1), fixed(r.NoiseDB[b], 0)})
	}
	return rows
}

// screen is how tables are printed on standard output.
// fixed is a number with a fixed count of decimals; "-" where there is none.
func fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	s := fmt.Sprintf("%.*f", decimals, v)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-") // no minus before a zero
	}
	return s
}

// metres is a length to the decimetre, without a needless decimal.
func metres(v float64) string { return plain(math.Round(10*v) / 10) }

// plain is a number with no more decimals than it needs, two at most.
func plain(v float64) string {
	s := fixed(v, 2)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
