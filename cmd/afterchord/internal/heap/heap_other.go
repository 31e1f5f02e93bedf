//go:build !linux

package heap

// SmallPages does nothing where there were no large ones.
func SmallPages() {}
