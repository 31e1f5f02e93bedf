package results

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"afterchord/acoustics/atomicfile"
	"afterchord/acoustics/lazyregexp"
)

// stagePrefix begins the names of the folders in which results are written, before the number of the
// process.
const stagePrefix = ".afterchord-unfinished-"

// stagePath is the part of a path that such a folder is.
var stagePath = lazyregexp.New(`[/\\\\]` + regexp.QuoteMeta(stagePrefix) + `[0-9]+-[0-9]+`)

// Public is a message with the places that files will have in the place of those in which they are written: the
// folders between are gone when somebody looks.
func Public(message string) string { return stagePath.ReplaceAllString(message, "") }

func stagePattern() string { return fmt.Sprintf("%s%d-", stagePrefix, os.Getpid()) }

// sweep removes what runs that were killed have left in a folder.
func sweep(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		rest, ok := strings.CutPrefix(e.Name(), stagePrefix)
		if !ok || !e.IsDir() || atomicfile.IsTemporary(e.Name()) {
			continue
		}
		path := filepath.Join(dir, e.Name())
		number, _, _ := strings.Cut(rest, "-")
		pid, err := strconv.Atoi(number)
		if err != nil || pid == os.Getpid() && inTheMaking(path) || pid != os.Getpid() && alive(pid) {
			continue
		}
		_ = os.RemoveAll(path)
	}
}

// inTheMaking says whether a folder is one of this process.
func inTheMaking(stage string) bool {
	open.Lock()
	defer open.Unlock()
	return slices.ContainsFunc(open.folders, func(f *Folder) bool { return f.stage == stage })
}

// alive says whether a process runs; where it cannot be known, it does.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	defer func() { _ = p.Release() }()
	if runtime.GOOS == "windows" { // found is alive
		return true
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, fs.ErrPermission)
}
