//go:build !amd64

package vector

import "testing"

func both(t *testing.T, name string, run func(t *testing.T)) { t.Run(name, run) }
