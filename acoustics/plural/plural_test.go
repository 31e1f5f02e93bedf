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
