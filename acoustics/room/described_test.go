package room

import (
	"math"
	"strings"
	"testing"
)

// An answer for every question gives a plan that a room can be made of, and its surfaces close the box: floor,
// walls and ceiling (a vault more), none left out.
func TestEveryWordMakesARoom(t *testing.T) {
	size := [3]float64{30, 12, 11}
	box := 2 * (30*12 + 30*11 + 12*11.0)
	for _, question := range Questions() {
		for _, answer := range append(DescriptionWords(question), "") {
			t.Run(question+" "+answer, func(t *testing.T) {
				d := Description{Name: "ours", Title: "Ours", SizeM: size}
				d.Answers = map[string]string{question: answer}
				p, err := d.Plan()
				if err != nil {
					t.Fatal(err)
				}
				if _, err := p.Room(); err != nil {
					t.Fatal(err)
				}
				area := 0.0
				for _, s := range p.Surfaces {
					if !strings.HasPrefix(s.Material, "all else") {
						area += s.AreaM2
					}
				}
				if area < 0.999*box || area > 1.15*box {
					t.Errorf("surfaces of %.0f m², the box has %.0f", area, box)
				}
				mean, least, most := p.Range()
				if !(least < mean && mean < most) {
					t.Errorf("%.2f s, %.2f to %.2f", mean, least, most)
				}
			})
		}
	}
}

// By hand from the table's rows (Sabine, 340 m/s is near enough): stone all round rings longer than wood, carpet and
// people shorten it, and a church of plaster and stone of 4000 m³ rings for some seconds (common practice: 3 to 6 s empty).
func TestWordsMoveTheTimeAsABuilderExpects(t *testing.T) {
	rt := func(d Description) float64 {
		d.SizeM = [3]float64{30, 12, 11}
		p, err := d.Plan()
		if err != nil {
			t.Fatal(err)
		}
		mean, _, _ := p.Range()
		return mean
	}
	plain := rt(Description{})
	if plain < 3 || plain > 6 {
		t.Errorf("plaster, stone floor and pews: %.1f s", plain)
	}
	for name, d := range map[string]Description{
		"wooden walls": {Answers: map[string]string{"walls": "wood"}}, "wooden ceiling": {Answers: map[string]string{"ceiling": "wooden vault"}}, "a carpet": {Answers: map[string]string{"floor": "carpet"}},
		"cushions": {Answers: map[string]string{"seats": "upholstered"}}, "people": {People: 150},
	} {
		if x := rt(d); x > 0.95*plain {
			t.Errorf("%s: %.1f s where the plain church has %.1f", name, x, plain)
		}
	}
	if x := rt(Description{Answers: map[string]string{"seats": "none"}}); x < plain {
		t.Errorf("without pews %.1f s, with them %.1f", x, plain)
	}
}

// What churches are said to have when empty, mean of 500 Hz and 1 kHz: round figures of their kinds after surveys that give time and volume (Portuguese,
// Romanesque and Baroque churches, cathedrals), from memory. The range that words give holds each, and the middle is neither long nor short throughout.
func TestWordsHoldTheTimesOfChurches(t *testing.T) {
	log := 0.0
	churches := []struct {
		name    string
		size    [3]float64
		answers []string // walls, ceiling, seats, floor
		seconds float64
	}{
		{"Baroque parish church", [3]float64{28, 11, 10}, []string{"plaster", "plaster vault", "pews", "stone"}, 3},
		{"Portuguese, the mean of 41", [3]float64{38, 15, 10}, []string{"plaster", "wooden vault", "pews", "wood"}, 2.8},
		{"village", [3]float64{16, 8, 5.5}, []string{"plaster", "flat wood", "pews", "stone"}, 1.4},
		{"Gothic hall", [3]float64{55, 18, 15}, []string{"stone", "stone vault", "chairs", "stone"}, 5},
		{"Romanesque cathedral with an open roof", [3]float64{55, 27, 20}, []string{"stone", "flat wood", "pews", "stone"}, 4.8},
		{"Gothic cathedral", [3]float64{95, 25, 25}, []string{"stone", "stone vault", "chairs", "stone"}, 6.5},
		{"concrete", [3]float64{35, 20, 12}, []string{"concrete", "concrete", "pews", "stone"}, 4.5},
		{"carpet and plasterboard", [3]float64{30, 17, 10}, []string{"plasterboard", "plasterboard", "upholstered", "carpet"}, 1.4},
		{"brick and timber roof", [3]float64{36, 14, 12}, []string{"brick", "wooden vault", "pews", "stone"}, 2.7},
		{"wooden", [3]float64{20, 10, 7.5}, []string{"wood", "flat wood", "pews", "wood"}, 1.2},
		{"bare chapel", [3]float64{18, 8, 8.5}, []string{"stone", "stone vault", "none", "stone"}, 3},
		{"abbey in stucco", [3]float64{60, 20, 17}, []string{"plaster", "plaster vault", "pews", "stone"}, 5.5},
	}
	for _, c := range churches {
		d := Description{SizeM: c.size, Answers: map[string]string{}}
		for i, question := range []string{"walls", "ceiling", "seats", "floor"} {
			d.Answers[question] = c.answers[i]
		}
		p, err := d.Plan()
		if err != nil {
			t.Fatal(err)
		}
		mean, least, most := p.Range()
		if c.seconds < least || c.seconds > most {
			t.Errorf("%s: %.1f to %.1f s, known are %.1f", c.name, least, most, c.seconds)
		}
		log += math.Log(mean/c.seconds) / float64(len(churches))
	}
	if math.Abs(log) > math.Log(1.2) {
		t.Errorf("the middles are %.2f of the times known", math.Exp(log))
	}
}

func TestDescriptionRefuses(t *testing.T) {
	_, err := Description{SizeM: [3]float64{30, 12, 11}, Answers: map[string]string{"walls": "cheese"}}.Plan()
	if err == nil || !strings.Contains(err.Error(), `walls "cheese": give one of plaster, stone`) {
		t.Error(err)
	}
	_, err = Description{SizeM: [3]float64{30, 12, 11}, People: 100000}.Plan()
	if err == nil || !strings.Contains(err.Error(), "seats about 180") {
		t.Error(err)
	}
	_, err = Description{SizeM: [3]float64{30, 12, 11}, Answers: map[string]string{"wals": "stone"}}.Plan()
	if err == nil || !strings.Contains(err.Error(), "there is no such question") {
		t.Error(err)
	}
	if _, err := (Description{SizeM: [3]float64{30, 0, 11}}).Plan(); err == nil {
		t.Error("a church without width is accepted")
	}
}
