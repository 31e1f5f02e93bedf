package room

import (
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
