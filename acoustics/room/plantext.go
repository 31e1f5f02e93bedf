package room

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// WriteTOML writes p as a room file that [Load] reads back: its surfaces and people, so that they can be changed.
// Surfaces keep their material's name; the coefficients of a material that is not common are written out.
func (p Plan) WriteTOML(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "name = %s\ntitle = %s\n", strconv.Quote(p.Name), strconv.Quote(p.Title))
	fmt.Fprintf(&b, "volume = %s # m³\n", number(p.VolumeM3))
	if p.SizeM != ([3]float64{}) {
		fmt.Fprintf(&b, "size = [%s, %s, %s] # length, width, height, m\n", number(p.SizeM[0]), number(p.SizeM[1]), number(p.SizeM[2]))
	}
	fmt.Fprintf(&b, "temperature = %s # °C\nhumidity = %s # %%\n", number(p.TempC), number(p.Humidity))
	writeCautions(&b, p.Cautions)
	formula := "sabine"
	if p.Eyring {
		formula = "eyring"
	}
	fmt.Fprintf(&b, "formula = %q\npeople = %d\n", formula, p.People)
	for _, s := range p.Surfaces {
		fmt.Fprintf(&b, "\n[[surface]]\nmaterial = %s\narea = %s # m²\n", strconv.Quote(s.Material), number(s.AreaM2))
		if m, err := FindMaterial(s.Material); err != nil || m.Alpha != s.Alpha {
			writeBands(&b, "surface.absorption", "0 to 1", s.Alpha)
		}
	}
	for _, s := range p.Seats {
		fmt.Fprintf(&b, "\n[[seat]]\nname = %s\nat = [%s, %s, %s] # right, from the organ, up, m\n", strconv.Quote(s.Name), number(s.At.X), number(s.At.Y), number(s.At.Z))
	}
	_, err := io.WriteString(w, b.String())
	return err
}
