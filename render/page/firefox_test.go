package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
)

// firefoxNames are where systems keep it.
var firefoxNames = []string{"firefox-esr", "firefox"}

// firefox is a browser that is driven by its own remote protocol, Marionette: JSON with its length before it, over TCP
// (Firefox source docs, Marionette protocol, level 3).
type firefox struct {
	t    *testing.T
	line net.Conn
	in   *bufio.Reader
	last int
}

func inFirefox(t *testing.T) *firefox {
	t.Helper()
	program := ""
	for _, name := range firefoxNames {
		if path, err := exec.LookPath(name); err == nil {
			program = path
			break
		}
	}
	if program == "" {
		t.Skip("no Firefox")
	}
	home := t.TempDir()
	profile := filepath.Join(home, "profile")
	require.NoError(t, os.Mkdir(profile, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(profile, "user.js"), []byte(strings.Join([]string{
		`user_pref("marionette.port", 0);`,
		`user_pref("media.autoplay.default", 0);`,
		`user_pref("datareporting.policy.dataSubmissionEnabled", false);`,
		`user_pref("app.normandy.enabled", false);`,
		`user_pref("browser.shell.checkDefaultBrowser", false);`,
		`user_pref("security.sandbox.content.level", 0);`,
	}, "\n")+"\n"), 0o600))
	c := exec.Command(program, "--headless", "--no-remote", "--marionette", "--profile", profile)
	c.Env = append(os.Environ(), "HOME="+home, "MOZ_HEADLESS=1", "MOZ_CRASHREPORTER_DISABLE=1")
	require.NoError(t, c.Start())
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	var port string
	require.Eventually(t, func() bool {
		data, err := os.ReadFile(filepath.Join(profile, "MarionetteActivePort"))
		port = strings.TrimSpace(string(data))
		return err == nil && port != ""
	}, 2*time.Minute, 200*time.Millisecond, "Firefox did not open its port")
	line, err := net.Dial("tcp", net.JoinHostPort("127.0.0.1", port))
	require.NoError(t, err)
	t.Cleanup(func() { line.Close() })
	f := &firefox{t: t, line: line, in: bufio.NewReader(line)}
	f.read()
	f.ask("WebDriver:NewSession", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{}}}, nil)
	f.ask("WebDriver:SetTimeouts", map[string]any{"script": 180000, "pageLoad": 180000}, nil)
	return f
}

func (f *firefox) read() []byte {
	f.t.Helper()
	require.NoError(f.t, f.line.SetReadDeadline(time.Now().Add(4*time.Minute)))
	head, err := f.in.ReadString(':')
	require.NoError(f.t, err)
	n, err := strconv.Atoi(strings.TrimSuffix(head, ":"))
	require.NoError(f.t, err)
	data := make([]byte, n)
	_, err = io.ReadFull(f.in, data)
	require.NoError(f.t, err)
	return data
}

// ask sends a command and puts its answer into result, unless that is nil.
func (f *firefox) ask(command string, arguments, result any) {
	f.t.Helper()
	f.last++
	data, err := json.Marshal([]any{0, f.last, command, arguments})
	require.NoError(f.t, err)
	_, err = fmt.Fprintf(f.line, "%d:%s", len(data), data)
	require.NoError(f.t, err)
	var reply []json.RawMessage
	require.NoError(f.t, json.Unmarshal(f.read(), &reply))
	require.Len(f.t, reply, 4)
	require.Equal(f.t, "null", string(reply[2]), command)
	if result != nil {
		require.NoError(f.t, json.Unmarshal(reply[3], result))
	}
}

func (f *firefox) open(address string) {
	f.t.Helper()
	f.ask("WebDriver:Navigate", map[string]any{"url": address}, nil)
}

// js evaluates an expression that is a string.
func (f *firefox) js(expression string) string {
	f.t.Helper()
	var reply struct{ Value string }
	f.ask("WebDriver:ExecuteScript", map[string]any{"script": "return String(" + expression + ")", "args": []any{}, "sandbox": nil}, &reply)
	return reply.Value
}

func (f *firefox) until(condition string) {
	f.t.Helper()
	for end := time.Now().Add(3 * time.Minute); f.js(condition) != "true"; time.Sleep(100 * time.Millisecond) {
		if time.Now().After(end) {
			f.t.Fatalf("%s (the page says: %s)", condition, f.js(`document.getElementById('trouble').textContent + ' | ' + document.getElementById('saved').textContent`))
		}
	}
}

// sounds tells whether this Firefox lets any page play: without a sound device its audio clock stands still.
func (f *firefox) sounds() bool {
	f.js(`(() => { window.trial = new AudioContext(); trial.resume(); return ''; })()`)
	for range 30 {
		if f.js(`trial.currentTime > 0.05`) == "true" {
			return true
		}
		time.Sleep(100 * time.Millisecond)
	}
	return false
}

// TestPageInFirefox opens the page from a disk and from a static server with its policy, and compares what it finds with
// what the desk of this program finds.
func TestPageInFirefox(t *testing.T) {
	longtest.Only(t, "drives Firefox")
	f := inFirefox(t)
	file, _ := built(t)
	want := native(t)
	for _, address := range []string{"file://" + file, served(t)} {
		f.open(address)
		f.until(`!!document.querySelector('[data-demo=drop]')`)
		f.js(`document.querySelector('[data-demo=drop]').click()`)
		f.until(proved)
		require.Equal(t, want, f.js(written), address)
		f.js(`document.getElementById('play').click()`)
		if f.sounds() {
			f.until(`+document.getElementById('clock').dataset.seconds > 0.2`)
			f.js(`document.getElementById('play').click()`)
		} else {
			t.Log("this Firefox has no sound device: its page says so, and is not heard")
			f.until(`document.getElementById('trouble').textContent.includes('no sound device')`)
		}
		f.until(`document.getElementById('saved').textContent === 'saved'`)
		f.until(`!!document.querySelector('.paper svg')`)
		again := address + f.js(`location.hash`)
		f.open("about:blank")
		f.open(again)
		f.until(proved)
		require.Equal(t, want, f.js(written), "kept: %s", address)
	}
}
