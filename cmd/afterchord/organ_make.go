package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/acoustics/plural"
	"afterchord/acoustics/room"
	"afterchord/render/results"
	"afterchord/render/table"
	"afterchord/sim/levels"
	"afterchord/voicing"
	"afterchord/voicing/stoplist"
)

type organMake struct {
	out   string
	toml  bool
	title string
	force bool
}

func newOrganMake() *cobra.Command {
	var f organMake
	cmd := &cobra.Command{
		Use:   "make STOPLIST.txt",
		Short: "make an organ from its printed stop list",
		Long: `make reads a stop list as a programme, a builder or a parish page prints it, in English, German, French,
Italian, Spanish, Dutch, Swedish, Danish or Norwegian: divisions as headings, stops with their lengths,
couplers, tremulants, compass, action, pitch, wind, temperament; a stop a line, several on a line, in columns,
or the whole page in one line. It prints beside each line how it was read, then what was assumed, what was
not understood (and left out), and how loud each dynamic mark is. STOPLIST "-" reads from standard input.

--out writes the description: a text file in which each assumption is a comment, to be
corrected by hand ('afterchord organ check' names any mistake) and used as --organ.`,
		Example: `  afterchord organ make leaflet.txt --out our-organ.toml
  afterchord proof piece.mid --organ our-organ.toml --room parish-church`,
		Args: exactly(1, "one STOPLIST.txt"),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args[0]) },
	}
	fl := cmd.Flags()
	fl.StringVarP(&f.out, "out", "o", "", "organ file to write (.toml)")
	fl.BoolVar(&f.toml, "toml", false, "print the organ file instead of how each line was read")
	fl.StringVar(&f.title, "title", "", "the organ's full name (left out: from the text)")
	registerForce(cmd, &f.force)
	return cmd
}

func (f *organMake) run(cmd *cobra.Command, path string) error {
	if err := checkTOML(f.out, "an organ"); err != nil {
		return err
	}
	var data []byte
	var err error
	if path == stdin {
		data, err = io.ReadAll(io.LimitReader(cmd.InOrStdin(), 1<<20))
	} else {
		data, err = readFile(path, 1<<20)
	}
	if err != nil {
		return err
	}
	if err := results.CheckFile(f.out, f.force, path); err != nil {
		return err
	}
	list := stoplist.Read(stoplist.Decode(data))
	if f.title != "" {
		list.Title = f.title
	}
	base := path
	if f.out != "" {
		base = f.out
	}
	name := baseName(base)
	if base == stdin {
		name = "organ"
	}
	source, organ, err := list.Organ(name)
	if err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	w := cmd.OutOrStdout()
	if f.out != "" {
		if err := writeOwn(f.out, filled(source)); err != nil {
			return err
		}
	}
	if f.toml {
		_, err := w.Write(source)
		return err
	}
	if err := printReading(w, screen(), list, organ); err != nil {
		return err
	}
	if f.out != "" {
		_, err = fmt.Fprintf(w, "\n%s\n", f.out)
	}
	return err
}

// printReading prints how each line of the list was read, and what came of it.
func printReading(w io.Writer, o table.Options, list *stoplist.List, organ *voicing.Organ) error {
	var doubts strings.Builder
	for _, d := range list.Doubts() {
		fmt.Fprintf(&doubts, "please check: %s\n", d)
	}
	if doubts.Len() > 0 {
		if err := writeLines(w, o, doubts.String()); err != nil {
			return err
		}
	}
	var rows [][]string
	for _, l := range list.Lines {
		number, text := fmt.Sprint(l.Number), shortened(l.Text, 44)
		for _, r := range l.Readings {
			if r.What == stoplist.IsProse || r.What == stoplist.IsExtra {
				continue
			}
			read, ask := r.Text, r.Ask
			if r.What == stoplist.IsUnread {
				read, ask = "not understood: "+r.Text, "see below"
			}
			rows = append(rows, []string{number, text, read, ask})
			number, text = "", ""
		}
	}
	if err := table.Grid(w, o, []string{">line", "as printed", "read as", "assumed"}, rows); err != nil {
		return err
	}
	var text strings.Builder
	for _, a := range list.Supposed() {
		fmt.Fprintf(&text, "assumed: %s\n", a)
	}
	if unread := list.Unread(); len(unread) > 0 {
		fmt.Fprintf(&text, "%s not understood and left out. Change the text and make the organ again:\n", plural.Count(len(unread), "line was", "lines were"))
		for _, l := range unread {
			for _, r := range l.Readings {
				fmt.Fprintf(&text, "line %d, %s: %s\n", l.Number, shortened(r.Text, 44), r.Ask)
			}
		}
	} else {
		text.WriteString("every line was understood\n")
	}
	stops, ranks, pipes := organ.Count()
	fmt.Fprintf(&text, "%s, %s, %s, %s\n", plural.Count(len(organ.Divisions), "division"), plural.Count(stops, "stop"), plural.Count(ranks, "rank"), plural.Count(pipes, "pipe"))
	if err := writeLines(w, o, "\n"+text.String()); err != nil {
		return err
	}
	return printMarks(w, o, organ)
}

// printMarks prints how loud each mark of the plan is in a usual church, and where the crescendo is not even.
func printMarks(w io.Writer, o table.Options, organ *voicing.Organ) error {
	r, ok := room.BuiltIn("parish-church")
	if !ok {
		return nil
	}
	seat, err := r.Seat("middle")
	if err != nil {
		return err
	}
	head, rows, uneven := levelRows(organ, levels.NewListener(organ, r, seat))
	if err := writeLines(w, o, fmt.Sprintf("\nLoudness level of each mark in %s, middle seat, phon, and step from mark to mark", r.Title)); err != nil {
		return err
	}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	if uneven {
		return writeLines(w, o, unevenSteps)
	}
	return nil
}

// shortened is s in at most n characters.
func shortened(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}
