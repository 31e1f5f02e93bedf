package voicing

import "fmt"

func ExampleParseRegistration() {
	o, _ := BuiltIn("village")
	c, _ := ParseRegistration(o, "Gt 8' flutes; Sw. box closed; kazoo")
	fmt.Println(c.Read, c.Unread)
	// Output: [Great: Stopped Diapason 8 Swell box 0 % open] [kazoo]
}

func ExampleOrgan_Diff() {
	o, _ := BuiltIn("village")
	on, off := o.Diff(o.Plan("f", 0), o.Plan("mf", 0))
	fmt.Println(on, off)
	// Output: [] [Great: Principal 4 Great: Fifteenth 2]
}

func ExampleParse() {
	_, err := Parse([]byte("[[division]]\nname = \"Great\"\ncompass = [\"C2\", \"H9\"]\n"), "mine.toml")
	fmt.Println(err)
	// Output: mine.toml:3: compass "C2" to "H9" makes no keyboard; write two keys, low then high, as in ["C2", "G6"] (C4 is middle C)
}
