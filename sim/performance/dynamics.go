package performance

import (
	"fmt"
	"slices"
	"sort"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// velocities is the middle of the velocity range in which notation programs export each
// dynamic mark, ppp … fff (common practice: about 16 steps apart).
var velocities = [...]float64{16, 33, 49, 64, 80, 96, 112, 126}

// velocityStep is how far a passage's velocity must move, and accentNotes how many
// onsets it must stay there, before it is a new dynamic and not an accent.
const (
	velocityStep = 12
	accentNotes  = 3
	velocityMark = 16 // from mark to mark, about
)

// dynamicOf is the mark whose velocity is nearest.
func dynamicOf(velocity float64) score.Dynamic {
	best := score.PPP
	for i, v := range velocities {
		if abs(v-velocity) < abs(velocities[best]-velocity) {
			best = score.Dynamic(i)
		}
	}
	return best
}

// dynamics cuts each part into passages of one dynamic: by the marks in the score where there
// are any, else by velocity, else mf.
func dynamics(s *score.Score, o *voicing.Organ, as []Assignment, byBox map[markKey]bool) []Passage {
	marks := marksOf(s)
	flat, vel := flatVelocity(s)
	lead := -1 // the first part whose velocities say how loud the music is
	var out []Passage
	for part := range s.Parts {
		var p []Passage
		switch {
		case as[part].Silent:
		case len(marks[part]) > 0:
			p = byMarks(s, part, marks[part], byBox)
		case flat:
			source := "no dynamics are given: mf assumed"
			if vel > 0 {
				source = fmt.Sprintf("no marks and every note at velocity %d: mf assumed", vel)
			}
			level := score.MF
			if telling(vel) {
				level = dynamicOf(float64(vel))
				source = fmt.Sprintf("no marks and every note at velocity %d: taken for %s", vel, level)
			}
			p = []Passage{{Part: part, To: s.End, Dynamic: level, MeanVel: float64(vel), Assumed: true, Source: source}}
		case lead >= 0 && unmarked(s, part) && goesWith(o, as, lead, part):
			p = following(out, lead, part, as)
		default:
			p = byVelocity(s, part)
			if lead < 0 && writtenVelocity(s, part, marksShare) && !unmarked(s, part) {
				lead = part
			}
			if o.Divisions[as[part].Division].Enclosed {
				rampsByBox(s, part, p)
			}
		}
		for i := range p {
			p[i].Division = as[part].Division
		}
		out = append(out, p...)
	}
	return out
}

// The share of a part's notes with the velocity of the note before where a program wrote it, as fingers hardly strike two alike; and where
// it has marks alone and no ramps.
const (
	plateauShare = 0.8
	marksShare   = 0.9
)

// writtenVelocity reports whether the velocities of a part are a program's, not fingers': such a share of them stays.
func writtenVelocity(s *score.Score, part int, share float64) bool {
	last, same, count := -1, 0, 0
	for _, n := range s.Notes {
		if n.Part != part {
			continue
		}
		if n.Velocity == 0 {
			return false
		}
		if n.Velocity == last {
			same++
		}
		last, count = n.Velocity, count+1
	}
	return float64(same) >= share*float64(count-1)
}

// unmarked reports whether every note of a part has a velocity that programs write where nobody has said anything.
func unmarked(s *score.Score, part int) bool {
	xs := onsetVelocities(s, part)
	return len(xs) > 0 && !telling(int(xs[0].vel)) && !slices.ContainsFunc(xs, func(c chord) bool { return c.vel != xs[0].vel })
}

// goesWith reports whether a part is on the manual of another, or is the pedal's where all hands are: two manuals are two loudnesses.
func goesWith(o *voicing.Organ, as []Assignment, lead, part int) bool {
	if !o.Divisions[as[part].Division].Pedal {
		return as[part].Division == as[lead].Division
	}
	return !slices.ContainsFunc(as, func(a Assignment) bool {
		return !a.Silent && !o.Divisions[a.Division].Pedal && a.Division != as[lead].Division
	})
}

// following is the dynamics of lead for a part that has none of its own: a mark between two staves is exported on the upper one (common practice).
func following(passages []Passage, lead, part int, as []Assignment) []Passage {
	var out []Passage
	for _, p := range passages {
		if p.Part != lead {
			continue
		}
		p.Part, p.Assumed = part, true
		p.ByBox = p.ByBox && as[lead].Division == as[part].Division
		out = append(out, p)
	}
	return out
}

// marksOf lists the dynamic marks of each part. A mark without a part concerns all; a
// part without any mark of its own follows the first that has some: of the staves of its own
// instrument, where it is a staff among several, else of all parts.
func marksOf(s *score.Score) [][]score.Word {
	out := make([][]score.Word, len(s.Parts))
	var all []score.Word
	for _, w := range s.Words {
		if w.Kind != score.Mark {
			continue
		}
		if _, ok := score.ParseDynamic(w.Text); !ok {
			continue // an accent such as sfz: no level that lasts
		}
		if w.Part < 0 || w.Part >= len(out) {
			all = append(all, w)
			continue
		}
		out[w.Part] = append(out[w.Part], w)
	}
	var lead []score.Word
	for i := range out {
		if len(out[i]) > 0 && lead == nil {
			lead = out[i]
		}
	}
	own := slices.Clone(out)
	for i := range out {
		if len(out[i]) == 0 && len(all) == 0 {
			out[i] = slices.Clone(lead)
			for j, p := range s.Parts {
				if p.Staff > 0 && s.Parts[i].Staff > 0 && p.Track == s.Parts[i].Track && len(own[j]) > 0 {
					out[i] = slices.Clone(own[j])
					break
				}
			}
		}
		out[i] = append(out[i], all...)
		sort.SliceStable(out[i], func(a, b int) bool { return out[i][a].At < out[i][b].At })
	}
	return out
}

// fromMark is the source of a passage that begins with a mark in the score.
const fromMark = "mark in the score"

func byMarks(s *score.Score, part int, marks []score.Word, byBox map[markKey]bool) []Passage {
	var out []Passage
	if marks[0].At > 0 {
		d, _ := score.ParseDynamic(marks[0].Text)
		out = append(out, Passage{Part: part, Dynamic: d, Source: "the first mark, taken to hold before it too"})
	}
	for _, m := range marks {
		d, ok := score.ParseDynamic(m.Text)
		if !ok {
			continue
		}
		if n := len(out) - 1; n >= 0 {
			out[n].To = m.At
			if out[n].From == m.At {
				out = out[:n]
			}
		}
		out = append(out, Passage{Part: part, From: m.At, Dynamic: d, Source: fromMark, ByBox: byBox[markKey{m.At, m.Part, m.Text}]})
	}
	out[len(out)-1].To = s.End
	return out
}

// flatVelocity reports whether all notes have the same velocity (or none), and which.
func flatVelocity(s *score.Score) (bool, int) {
	for _, n := range s.Notes {
		if n.Velocity != s.Notes[0].Velocity {
			return false, 0
		}
	}
	if len(s.Notes) == 0 {
		return true, 0
	}
	return true, s.Notes[0].Velocity
}

// telling reports whether one velocity throughout says how loud the music is. Programs write 64, 80, 90, 100 or 127 where
// nobody has said anything; what is clearly louder or softer, or a lone f as it is exported, has been written (common practice).
func telling(velocity int) bool {
	return velocity > 0 && velocity <= 56 || velocity == 96 || velocity >= 106 && velocity < 127
}

// chord is the mean velocity of the notes of a part that begin together.
type chord struct {
	at  score.Tick
	vel float64
}

// onsetVelocities are the chords of a part in order.
func onsetVelocities(s *score.Score, part int) []chord {
	var chords []chord
	n := 0.0
	for _, x := range s.Notes {
		if x.Part != part {
			continue
		}
		if k := len(chords) - 1; k >= 0 && chords[k].at == x.On {
			n++
			chords[k].vel += (float64(x.Velocity) - chords[k].vel) / n
			continue
		}
		chords = append(chords, chord{x.On, float64(x.Velocity)})
		n = 1
	}
	return chords
}

func byVelocity(s *score.Score, part int) []Passage {
	chords := onsetVelocities(s, part)
	if len(chords) == 0 {
		return nil
	}
	var out []Passage
	from, sum, count := 0, chords[0].vel, 1.0
	flush := func(to int) {
		end := s.End
		if to < len(chords) {
			end = chords[to].at
		}
		start := chords[from].at
		if from == 0 {
			start = 0
		}
		mean := sum / count
		d := dynamicOf(mean)
		if k := len(out) - 1; k >= 0 && out[k].Dynamic == d {
			out[k].To = end
			return
		}
		out = append(out, Passage{Part: part, From: start, To: end, Dynamic: d, MeanVel: mean,
			Source: fmt.Sprintf("velocity about %.0f", mean)})
	}
	for i := 1; i < len(chords); i++ {
		if stays(chords, i, sum/count) {
			flush(i)
			from, sum, count = i, chords[i].vel, 1
			continue
		}
		if abs(chords[i].vel-sum/count) >= velocityStep {
			continue // an accent says nothing of the passage
		}
		sum += chords[i].vel
		count++
	}
	flush(len(chords))
	return out
}

// stays reports whether from chord i on the velocity has left mean for good and not for an accent.
func stays(chords []chord, i int, mean float64) bool {
	up := chords[i].vel > mean
	for j := i; j < min(i+accentNotes, len(chords)); j++ {
		if abs(chords[j].vel-mean) < velocityStep || (chords[j].vel > mean) != up {
			return false
		}
	}
	return true
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
