package main

import (
	"context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"afterchord/cmd/internal/heap"
	"afterchord/render/desk"
)

// deskPort is where the desk is unless another program has the port, so that a bookmark stays good: 8, 4, 2 and 1 ft.
const deskPort = 8421

// deskMemory is what the desk takes before it tidies up all the time, bytes, unless GOMEMLIMIT says otherwise: a class at work needs
// less.
const deskMemory = 900 << 20

type deskFlags struct {
	port     int
	open     bool
	projects string
	takeOver bool
}

func newDesk() *cobra.Command {
	f := deskFlags{port: deskPort, open: true}
	cmd := &cobra.Command{
		Use:   "desk [SCORE]",
		Short: "open the desk: a local page with the score, the findings and the sound",
		Long: `desk opens a page in the browser on which a score is put into rooms, seen, heard
and rewritten. It is served by this machine to this machine (127.0.0.1 only) and
needs no network. Projects are plain files in the folder --projects; nothing is
lost when the page or the program ends.

With SCORE that score is opened and followed: when the notation program saves it
again, the page shows the new findings, with the room, organ and tempo as they
were. If a desk is running on the same folder, the page opens there.

Start playback softly: an organ in a church is loud, and loud sound harms hearing.`,
		Example: `  afterchord desk
  afterchord desk prelude.musicxml
  afterchord desk --port 8600 --projects ~/organ-class --open=false`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef("desk takes one score, got %d; drop the others on the page", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd, strings.Join(args, ""), cmd.Flags().Changed("port"))
		},
	}
	fl := cmd.Flags()
	fl.IntVar(&f.port, "port", f.port, "port on 127.0.0.1 (0: any that is free)")
	fl.BoolVar(&f.open, "open", f.open, "open the page in the browser")
	fl.BoolVar(&f.takeOver, "take-over", false, "end the desk that has the projects open, and go on here")
	fl.StringVar(&f.projects, "projects", "", "folder of the projects, made if missing (default: afterchord-projects here if it exists, else in your home folder)")
	return cmd
}

// run opens a score ("" for none) at the desk that runs, or starts one.
func (f *deskFlags) run(cmd *cobra.Command, score string, portGiven bool) error {
	if f.port < 0 || f.port > 65535 {
		return usagef("--port %d: give 0 to 65535", f.port)
	}
	heap.Reserve()
	dir, err := projectsFolder(f.projects)
	if err != nil {
		return err
	}
	if score != "" {
		if score, err = filepath.Abs(score); err != nil {
			return err
		}
		if _, err := readFile(score, 16<<20); err != nil {
			return err
		}
	}
	leave, running, err := f.occupy(cmd.Context(), dir, score)
	if err != nil {
		return err
	}
	if leave == nil {
		fmt.Fprintf(cmd.OutOrStdout(), "%s\nthis desk was running already\n", running)
		f.show(cmd, running)
		return nil
	}
	defer leave()
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(deskMemory)
	}
	d, err := desk.New(desk.Options{Dir: dir, Remedies: desk.TableRemedies{}, Log: log.New(cmd.ErrOrStderr(), "afterchord: ", 0)})
	if err != nil {
		return err
	}
	page := ""
	if score != "" {
		id, err := d.Follow(score)
		if err != nil {
			return err
		}
		page = "#" + id
	}
	l, err := listen(f.port, portGiven)
	if err != nil {
		return err
	}
	address := "http://" + l.Addr().String() + "/"
	end, err := d.Announce(address)
	if err != nil {
		l.Close()
		return err
	}
	defer end()
	fmt.Fprintf(cmd.OutOrStdout(), "%s\nprojects in %s\nto stop the desk, press Ctrl+C or close this window\n", address+page, dir)
	f.show(cmd, address+page)
	ctx, stop := context.WithCancel(cmd.Context())
	defer stop()
	go func() {
		select {
		case <-d.Left():
			fmt.Fprintln(cmd.OutOrStdout(), "another desk has taken the projects over")
			stop()
		case <-ctx.Done():
		}
	}()
	return serve(ctx, l, d)
}

// occupy makes this the desk that has the projects, or gives the page of the one that has them, with the score open.
func (f *deskFlags) occupy(ctx context.Context, dir, score string) (leave func(), running string, err error) {
	if f.takeOver {
		leave, err = desk.TakeOver(ctx, dir)
		return leave, "", err
	}
	for range 20 { // one that has just begun answers in a moment
		page, found, err := desk.Running(ctx, dir, score)
		if err != nil || found {
			return nil, page, err
		}
		leave, err = desk.Occupy(dir)
		if err == nil || !errors.As(err, new(*desk.OccupiedError)) {
			return leave, "", err
		}
		select {
		case <-time.After(100 * time.Millisecond):
		case <-ctx.Done():
			return nil, "", ctx.Err()
		}
	}
	_, err = desk.Occupy(dir)
	return nil, "", err
}

// show opens the browser where that was asked for.
func (f *deskFlags) show(cmd *cobra.Command, address string) {
	if !f.open || !hasScreen() {
		return
	}
	if err := openBrowser(address); err != nil {
		fmt.Fprintf(cmd.ErrOrStderr(), "afterchord: no browser could be started (%v); open the address above\n", err)
	}
}

// projectsFolder is the folder asked for, else one that is here already, else the one in the home folder: a
// program that is started by a double click has no folder of its own to be in.
func projectsFolder(asked string) (string, error) {
	const name = "afterchord-projects"
	if asked != "" {
		return filepath.Abs(asked)
	}
	if st, err := os.Stat(name); err == nil && st.IsDir() {
		return filepath.Abs(name)
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return filepath.Abs(name)
	}
	return filepath.Join(home, name), nil
}

// listen takes a port; if it is in use and was not asked for by the user, any other.
func listen(port int, asked bool) (net.Listener, error) {
	at := func(port int) (net.Listener, error) {
		return net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	}
	l, err := at(port)
	if err != nil && !asked {
		l, err = at(0)
	}
	if err != nil {
		return nil, fmt.Errorf("port %d cannot be used: %w; give another --port, or none", port, err)
	}
	return l, nil
}

// serve answers until ctx ends, then lets what is under way finish for a moment.
func serve(ctx context.Context, l net.Listener, h http.Handler) error {
	requests, leave := context.WithCancel(context.WithoutCancel(ctx))
	defer leave()
	s := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10,
		BaseContext: func(net.Listener) context.Context { return requests }}
	done := make(chan error, 1)
	go func() { done <- s.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	leave() // sounds under way end
	end, cancel := context.WithTimeout(context.Background(), grace/3)
	defer cancel()
	if err := s.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	_ = s.Close() // who has not finished by now is cut off; saves are whole or not at all
	return nil
}

// hasScreen is false where a browser would have nowhere to show itself.
func hasScreen() bool {
	switch runtime.GOOS {
	case "windows", "darwin":
		return true
	}
	return os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != "" || os.Getenv("BROWSER") != ""
}

// openBrowser asks the system to show an address.
func openBrowser(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	c := exec.Command(name, args...)
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }()
	return nil
}
