package desk

import (
	"errors"
	"net/http"
	"time"
)

// Shelf is where a [Store] keeps projects: a folder, or what a browser has. It is asked for one thing at a
// time, and by IDs and names that the store has checked. A project or file that is not there is [fs.ErrNotExist].
type Shelf interface {
	// Projects lists what there is.
	Projects() ([]Kept, error)
	// Make begins a project that has nothing yet.
	Make(id string) error
	// Remove takes a project away with its files.
	Remove(id string) error
	// States gives whole or torn states of a project (JSON); the newest whole one counts.
	States(id string) ([][]byte, error)
	// Save keeps a state, whole or not at all; when it returns, the state outlives the program. Version is the
	// state's. A shelf that others write to refuses one that does not follow on what it has with
	// ErrChangedElsewhere.
	Save(id string, version int, state []byte) error
	// Read gives a file of a project, Write keeps a new one whole or not at all, Has says whether there is one.
	Read(id, file string) ([]byte, error)
	Write(id, file string, data []byte) error
	Has(id, file string) (bool, error)
}

// Kept is a project on a shelf.
type Kept struct {
	ID    string
	Saved time.Time
}

// ErrChangedElsewhere is a save over a state that the saver has not seen.
var ErrChangedElsewhere = errors.New("the project was changed elsewhere")

// shelfError is what a client is told when a shelf fails.
func shelfError(err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, ErrChangedElsewhere) {
		return problem{http.StatusConflict, err}
	}
	return problemf(http.StatusInsufficientStorage, "the project cannot be saved: %w", withoutPath(err))
}
