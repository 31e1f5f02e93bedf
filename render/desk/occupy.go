//go:build !js

package desk

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"
)

// lockFile in the folder of the projects is locked by the desk that has them; the system lets go of it when the
// program ends, however it ends.
const lockFile = "desk.lock"

// OccupiedError says that another desk has a folder of projects.
type OccupiedError struct {
	Dir   string
	Owner Owner // as far as it is known
}

func (e *OccupiedError) Error() string {
	who := "another desk"
	if e.Owner.Process > 0 {
		who = fmt.Sprintf("a desk that runs since %s (process %d on %s)", e.Owner.Since.Local().Format("2 January 15:04"), e.Owner.Process, e.Owner.Host)
	}
	return fmt.Sprintf("%s: in use by %s; go on there, have it give the projects up with --take-over, or name another folder with --projects", e.Dir, who)
}

// Occupy makes this program the one that saves projects in the folder dir, which it makes where it is missing, until
// leave is called. Where another has it, that is an [OccupiedError].
func Occupy(dir string) (leave func(), err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("projects: %w", err)
	}
	lock := flock.New(filepath.Join(dir, lockFile))
	got, err := lock.TryLock()
	switch {
	case errors.Is(err, errors.ErrUnsupported): // a drive that knows no locks
		return func() {}, nil
	case err != nil:
		return nil, fmt.Errorf("projects: %w", err)
	case !got:
		a, _ := readAnnouncement(dir)
		return nil, &OccupiedError{dir, a.Owner}
	}
	return func() { _ = lock.Unlock() }, nil
}

// TakeOver has the desk that has the folder end, once it has saved what it is saving, and occupies the folder.
func TakeOver(ctx context.Context, dir string) (leave func(), err error) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	if a, err := readAnnouncement(dir); err == nil && a.Address != "" {
		if q, err := http.NewRequestWithContext(ctx, http.MethodPost, a.Address+"api/leave", nil); err == nil {
			q.Header.Set(keyHeader, a.Key)
			if r, err := http.DefaultClient.Do(q); err == nil {
				r.Body.Close()
			}
		}
	}
	for {
		if leave, err = Occupy(dir); err == nil || !errors.As(err, new(*OccupiedError)) {
			return leave, err
		}
		select {
		case <-time.After(50 * time.Millisecond):
		case <-ctx.Done():
			return nil, fmt.Errorf("%w (it does not answer)", err)
		}
	}
}
