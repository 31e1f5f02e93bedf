package voicing

import "testing"

func TestBuiltIns(t *testing.T) {
	for _, n := range BuiltIns() {
		src, _ := BuiltInSource(n)
		if _, err := Parse(src, n+".toml"); err != nil {
			t.Fatal(err)
		}
	}
}
