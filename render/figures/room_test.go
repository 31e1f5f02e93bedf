package figures

import (
	"os"
	"testing"

	"afterchord/acoustics/room"
)

func TestRoomIsDrawn(t *testing.T) {
	for _, name := range room.BuiltIns() {
		r, _ := room.BuiltIn(name)
		seat, err := r.Seat("middle")
		if err != nil {
			t.Fatal(err)
		}
		f, err := Room(r, seat)
		if err != nil {
			t.Fatal(err)
		}
		png, err := f.PNG()
		if err != nil {
			t.Fatal(err)
		}
		if dir := os.Getenv("FIGURES_DIR"); dir != "" {
			if err := os.WriteFile(dir+"/room-"+name+".png", png, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
