// Command bench measures the analysis on pieces that it makes itself: what each step costs, how
// many times faster than the music it is, how the cost grows with the length of the piece and with the pipes
// that speak, and the time and memory of the whole program.
//
// Medians of several rounds are printed. Processor time is summed over all cores and does not
// depend on what else the machine is doing; exponents are fitted to it.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"runtime"
	"runtime/pprof"
	"strings"
	"text/tabwriter"

	"afterchord/cmd/bench/piece"
	"afterchord/cmd/internal/heap"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
)

const hall = "cathedral" // of the built-in rooms the one that rings longest

func main() {
	rounds := flag.Int("rounds", 5, "rounds of which the median counts")
	long := flag.Bool("long", false, "the whole program on two hours, too")
	sound := flag.Bool("sound", false, "the whole program with sound")
	entire := flag.Bool("whole", false, "the whole program on six seconds without sound, and with it on 1 and 10 minutes (with -long on two hours, too), and nothing else")
	textures := flag.Bool("textures", false, "the table of textures and nothing else")
	only := flag.String("only", "", "with -textures, those whose `name` holds this")
	lengths := flag.String("minutes", "1,2,4,8", "with -textures, the `lengths` of the pieces")
	scores := flag.String("scores", "", "the scores in a `folder` and nothing else")
	profile := flag.String("profile", "", "a `file` for the profile of the processor's time (go tool pprof)")
	flag.Parse()
	heap.Reserve() // as the program does
	stop, err := profiled(*profile)
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
	fmt.Printf("%s, %s, %d cores; minster, %s\n", machine(), runtime.GOARCH, runtime.GOMAXPROCS(0), hall)
	switch *rounds = max(1, *rounds); {
	case *scores != "":
		err = byScore(*scores, *rounds)
	case *textures:
		err = byTexture(*rounds, *only, *lengths)
	case *entire:
		err = wholeProgram(*rounds, *long)
	default:
		err = run(*rounds, *long, *sound)
	}
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// profiled writes where the processor's time goes to a file until stop is called; without a name it does nothing.
func profiled(name string) (stop func(), err error) {
	if name == "" {
		return func() {}, nil
	}
	f, err := os.Create(name)
	if err != nil {
		return nil, err
	}
	if err := pprof.StartCPUProfile(f); err != nil {
		return nil, err
	}
	return func() { pprof.StopCPUProfile(); f.Close() }, nil
}

func run(rounds int, long, sound bool) error {
	if err := byTexture(rounds, "", "1,2,4,8"); err != nil {
		return err
	}
	for _, f := range []func(int) error{byStage, byLength, byPipes} {
		if err := f(rounds); err != nil {
			return err
		}
	}
	if err := whole("the whole program without sound, findings alone (--remedies 0)", []float64{0.1, 3, 10}, rounds, 0, false); err != nil {
		return err
	}
	if err := whole("the same with rewritings of three findings proved", []float64{0.1, 3, 10}, rounds, 3, false); err != nil {
		return err
	}
	if long {
		if err := whole("findings alone on two hours", []float64{120}, 1, 0, false); err != nil {
			return err
		}
	}
	if sound {
		return withSound(1, false)
	}
	return nil
}

// wholeProgram measures how soon a short piece is proved, and the sound.
func wholeProgram(rounds int, long bool) error {
	if err := whole("the whole program without sound, six seconds", []float64{0.1}, 4*rounds, 0, false); err != nil {
		return err
	}
	return withSound(rounds, long)
}

func withSound(rounds int, long bool) error {
	if err := whole("the whole program with sound", []float64{1, 10}, rounds, 0, true); err != nil || !long {
		return err
	}
	return whole("two hours with sound", []float64{120}, 1, 0, true)
}

// table prints a heading and rows in columns.
func table(title string, rows ...[]string) {
	fmt.Printf("\n%s\n", title)
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, r := range rows {
		fmt.Fprintln(w, strings.Join(r, "\t")+"\t")
	}
	w.Flush()
}

func memory(mb float64) string {
	if mb == 0 { // the system does not say
		return "-"
	}
	return fmt.Sprintf("%.0f MB", mb)
}

func ms(s float64) string { return fmt.Sprintf("%.1f ms", 1000*s) }

func byStage(rounds int) error {
	const minutes = 10
	in, err := analysis(piece.Options{Seed: 1, Seconds: 60 * minutes}, hall)
	if err != nil {
		return err
	}
	list, err := stages(in, rounds)
	if err != nil {
		return err
	}
	rows := [][]string{{"step", "clock", "processor", "x real time"}}
	for _, s := range list {
		rows = append(rows, []string{s.name, ms(s.cost.clock), ms(s.cost.processor), fmt.Sprintf("%.0f", 60*minutes/s.cost.clock)})
	}
	table("steps, 10 minutes", rows...)
	return nil
}

func byLength(rounds int) error {
	rows := [][]string{{"minutes", "notes", "clock", "processor", "x real time"}}
	var points []point
	for _, minutes := range []float64{1.25, 2.5, 5, 10, 20} {
		in, err := analysis(piece.Options{Seed: 1, Seconds: 60 * minutes}, hall)
		if err != nil {
			return err
		}
		c, err := measure(rounds, func() error { _, err := proof.Run(context.Background(), in); return err })
		if err != nil {
			return err
		}
		points = append(points, point{minutes, c.processor})
		rows = append(rows, []string{fmt.Sprint(minutes), fmt.Sprint(len(in.Score.Notes)), ms(c.clock), ms(c.processor), fmt.Sprintf("%.0f", 60*minutes/c.clock)})
	}
	table("findings by length", rows...)
	fmt.Printf("cost grows with length to the power %.2f\n", exponent(points))
	return nil
}

func byPipes(rounds int) error {
	const minutes = 5
	rows := [][]string{{"voices", "pipes speaking", "clock", "processor", "x real time"}}
	var points []point
	for _, voices := range []int{2, 4, 8, 16, 32} {
		in, err := analysis(piece.Options{Seed: 1, Seconds: 60 * minutes, Voices: voices}, hall)
		if err != nil {
			return err
		}
		perf, err := performance.Build(in.Score, in.Organ, in.Player)
		if err != nil {
			return err
		}
		speaking := 0.0
		for _, e := range pipework.Schedule(in.Organ, perf) {
			speaking += (e.OffS - e.OnS) / (60 * minutes)
		}
		c, err := measure(rounds, func() error { _, err := proof.Run(context.Background(), in); return err })
		if err != nil {
			return err
		}
		points = append(points, point{speaking, c.processor})
		rows = append(rows, []string{fmt.Sprint(voices), fmt.Sprintf("%.0f", speaking), ms(c.clock), ms(c.processor), fmt.Sprintf("%.0f", 60*minutes/c.clock)})
	}
	table("findings by pipes that speak on average, 5 minutes", rows...)
	fmt.Printf("cost grows with the pipes to the power %.2f\n", exponent(points))
	return nil
}

func whole(title string, minutes []float64, rounds, remedies int, sound bool) error {
	list, err := processes(minutes, rounds, remedies, sound)
	if err != nil {
		return err
	}
	rows := [][]string{{"minutes", "clock", "processor", "memory", "x real time"}}
	for _, p := range list {
		rows = append(rows, []string{fmt.Sprint(p.minutes), ms(p.cost.clock), ms(p.cost.processor), memory(p.memoryMB), fmt.Sprintf("%.0f", 60*p.minutes/p.cost.clock)})
	}
	table(title, rows...)
	return nil
}

// analysis is the input of a run without sound: a piece that the program makes, on the minster organ.
func analysis(o piece.Options, roomName string) (proof.Input, error) {
	s, err := smf.Read(piece.SMF(o), "piece.mid")
	if err != nil {
		return proof.Input{}, err
	}
	return input(s, roomName)
}

// machine is the processor as the system names it (Linux), else the system.
func machine() string {
	data, _ := os.ReadFile("/proc/cpuinfo")
	for line := range strings.Lines(string(data)) {
		if name, value, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(name) == "model name" {
			return strings.TrimSpace(value)
		}
	}
	return runtime.GOOS
}
