// Package heap prepares the memory of the program before other packages begin to use it. It is imported for that, and itself imports so
// little that it is among the first packages to be initialised.
package heap
