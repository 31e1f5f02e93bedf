package casebook

import (
	"cmp"
	"context"
	"fmt"
	"hash/fnv"
	"slices"
	"sync"

	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/voicing"
)

// The organs and rooms in which the cases are played.
var (
	Organs = []string{"cabinet", "village", "minster"}
	Rooms  = []string{"chapel", "parish-church", "abbey", "cathedral"}
)

// Piece is one page as a file in a room.
type Piece struct {
	Input proof.Input
	Data  []byte // the file
	File  string
	Where string // organ and room
}

// Make writes number n of a case, or of its twin. It errs where the page cannot be written or read back.
func Make(c Case, n uint64, well bool) (Piece, error) {
	h := fnv.New64a()
	fmt.Fprint(h, c.Name, well, n)
	g := newHand(h.Sum64())
	p := &page{title: title(c.Name, n, well)}
	o := &occasion{pick(g, "cabinet", "village", "minster", "minster"), pick(g, Rooms...)}
	c.write(g, p, o, well)
	p.velocity = p.velocity || g.IntN(6) == 0 && !slices.ContainsFunc(p.marks, func(m mark) bool { return m.text == "<" })
	notation := g.coin()
	if notation {
		p.velocity = false
	}
	if p.parts[0].staves > 1 && !notation {
		p.velocity = false
	}
	s, data, err := p.file(notation)
	if err != nil {
		return Piece{}, fmt.Errorf("%s: %w", p.title, err)
	}
	file := fmt.Sprintf("%s.mid", p.title)
	if notation {
		file = fmt.Sprintf("%s.musicxml", p.title)
	}
	organ, _ := voicing.BuiltIn(o.organ)
	hall, _ := room.BuiltIn(o.room)
	seat, err := hall.Seat("middle")
	if err != nil {
		return Piece{}, err
	}
	return Piece{Input: proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ}, Data: data, File: file, Where: o.organ + ", " + o.room}, nil
}

// Row is how one case fared.
type Row struct {
	Case          string
	Of            int      // pages of the case, and as many twins
	Found         int      // pages in which the finding is
	False         int      // twins in which it is
	Tried, Helped int      // pages on which rewritings were tried, and were there that clear or ease it
	Missed        []uint64 // pages in which it is not
	Heard         []uint64 // twins in which it is
	Helpless      []uint64 // pages that nothing helps
}

// Measure plays the first n pages of each case and its twin, and tries the rewritings on the first mend of those
// found. It errs where ctx ends or a page cannot be made.
func Measure(ctx context.Context, cases []Case, n, mend int) ([]Row, error) {
	rows := make([]Row, len(cases))
	for i := range cases {
		rows[i] = Row{Case: cases[i].Name, Of: n}
	}
	var mu sync.Mutex
	errs := make([]error, len(cases)*n*2)
	parallel.Do(0, len(errs), func(i int) {
		if ctx.Err() != nil {
			return
		}
		row, page, well := i/2/n, i/2%n, i%2 == 1
		errs[i] = one(ctx, cases[row], uint64(page), well, page < mend, &rows[row], &mu)
	})
	for i := range rows {
		slices.Sort(rows[i].Missed)
		slices.Sort(rows[i].Heard)
		slices.Sort(rows[i].Helpless)
	}
	return rows, cmp.Or(append(errs, ctx.Err())...)
}

func one(ctx context.Context, c Case, n uint64, well, mend bool, row *Row, mu *sync.Mutex) error {
	piece, err := Make(c, n, well)
	if err != nil {
		return err
	}
	p, err := proof.Run(ctx, piece.Input)
	if err != nil {
		return fmt.Errorf("%s: %w", piece.File, err)
	}
	var hit *finding.Finding
	for i := range p.Document.Findings {
		if f := &p.Document.Findings[i]; hit == nil && slices.Contains(c.Kinds, f.Kind) {
			hit = f
		}
	}
	var helped bool
	tried := hit != nil && !well && mend
	if tried {
		results, err := remedy.Mend(ctx, piece.Input, *hit, remedy.For(hit.Kind))
		if err != nil {
			return fmt.Errorf("%s: %w", piece.File, err)
		}
		helped = slices.ContainsFunc(results, func(r remedy.Result) bool { return r.Helps })
	}
	mu.Lock()
	defer mu.Unlock()
	switch {
	case well && hit != nil:
		row.False++
		row.Heard = append(row.Heard, n)
	case !well && hit != nil:
		row.Found++
	case !well:
		row.Missed = append(row.Missed, n)
	}
	if tried {
		row.Tried++
		if helped {
			row.Helped++
		} else {
			row.Helpless = append(row.Helpless, n)
		}
	}
	return nil
}
