package plural_test

import (
	"fmt"

	"afterchord/acoustics/plural"
)

func ExampleCount() {
	fmt.Println(plural.Count(1, "stop"))
	fmt.Println(plural.Count(0, "stop"))
	fmt.Println(plural.Count(2, "key is", "keys are"))
	// Output:
	// 1 stop
	// 0 stops
	// 2 keys are
}

func ExampleNumber() {
	fmt.Println(plural.Number(1, "crotchet"))
	fmt.Println(plural.Number(0.5, "crotchet"))
	fmt.Println(plural.Number(4./3, "crotchet"))
	// Output:
	// 1 crotchet
	// 0.5 crotchets
	// 1.333 crotchets
}
