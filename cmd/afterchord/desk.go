package main

import (
	"context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"os/exec"
	"runtime"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"afterchord/render/desk"
)

type deskFlags struct {
	port     int
	open     bool
	projects string
}

func newDesk() *cobra.Command {
	var f deskFlags
	cmd := &cobra.Command{
		Use:   "desk",
		Short: "a local page on which to turn the knobs and hear the building",
		Long: `desk serves a page on this machine (127.0.0.1 only) on which a score is put into
rooms, seen, heard and rewritten. It needs no network. Projects are plain files
in the folder --projects; nothing is lost when the page or the program ends.

Start playback softly: an organ in a church is loud, and loud sound harms hearing.`,
		Example: `  afterchord desk --open
  afterchord desk --port 8600 --projects ~/organ-class`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usagef("desk takes no score on the command line (got %q); drop it on the page", args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd) },
	}
	fl := cmd.Flags()
	fl.IntVar(&f.port, "port", 0, "port on 127.0.0.1 (0: any that is free)")
	fl.BoolVar(&f.open, "open", false, "open the page in the browser")
	fl.StringVar(&f.projects, "projects", "afterchord-projects", "folder of the projects; made where it is missing")
	return cmd
}

func (f *deskFlags) run(cmd *cobra.Command) error {
	if f.port < 0 || f.port > 65535 {
		return usagef("--port %d: give 0 to 65535", f.port)
	}
	d, err := desk.New(desk.Options{Dir: f.projects, Remedies: desk.TableRemedies{}, Log: log.New(cmd.ErrOrStderr(), "afterchord: ", 0)})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(f.port)))
	if err != nil {
		return fmt.Errorf("port %d cannot be used: %w; give another --port, or none", f.port, err)
	}
	address := "http://" + l.Addr().String() + "/"
	fmt.Fprintf(cmd.OutOrStdout(), "%s\nprojects in %s; Ctrl+C ends the desk\n", address, f.projects)
	if f.open {
		if err := openBrowser(address); err != nil {
			fmt.Fprintf(cmd.ErrOrStderr(), "afterchord: no browser could be started (%v); open the address above\n", err)
		}
	}
	return serve(cmd.Context(), l, d)
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
	end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := s.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
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
