//go:build !linux

package heap

// Reserve does nothing where large pages cannot be asked for.
func Reserve() {}

// SmallPages does nothing where there were no large ones.
func SmallPages() {}
