package desk

import (
	"errors"
	"fmt"
	"log"
	"net/http"
	"runtime"
	"sync"
	"time"

	"afterchord/sim/proof"
	"afterchord/sim/sound"
	"afterchord/voicing"
)

// Options of a desk. Zero values stand for the defaults.
type Options struct {
	Dir      string      // folder of the projects
	Shelf    Shelf       // where projects are kept in place of a folder; nil: in Dir
	Remedies Remedies    // nil: no rewritings are offered
	Log      *log.Logger // failures of the server itself; nil: none are written

	MaxScore    int64 // largest score file, bytes; 16 MB
	MaxResponse int64 // largest impulse response, bytes; 64 MB
	MaxProjects int   // in the folder; 2000
	MaxSessions int   // browsers at once; 64
	MaxStreams  int   // sounds under way at once; 128
	Renderings  int   // sounds in memory at once, with 50 to 70 MB each in a large church; 6
	MaxWaiting  int   // requests waiting for a processor; 128
	Workers     int   // runs or renderings computed at once; the number of processors
	KeptBytes   int64 // what is kept of what was computed, for those who ask for it again; 192 MB

	// SendTimeout closes an audio stream whose client has stopped reading; 2 minutes.
	SendTimeout time.Duration

	// Breathe is called at times during a rendering or a run, so that a program whose only thread it takes can hear who else
	// asks for something, and who has given up; nil: nothing is called.
	Breathe  func()
	breathes bool // it was given
}

func (o *Options) defaults() {
	set := func(v *int, d int) {
		if *v <= 0 {
			*v = d
		}
	}
	set(&o.MaxProjects, 2000)
	set(&o.MaxSessions, 64)
	set(&o.MaxStreams, 128)
	set(&o.Renderings, 6)
	set(&o.MaxWaiting, 128)
	set(&o.Workers, runtime.GOMAXPROCS(0))
	if o.MaxScore <= 0 {
		o.MaxScore = 16 << 20
	}
	if o.MaxResponse <= 0 {
		o.MaxResponse = 64 << 20
	}
	if o.KeptBytes <= 0 {
		o.KeptBytes = 192 << 20
	}
	if o.SendTimeout <= 0 {
		o.SendTimeout = 2 * time.Minute
	}
	if o.breathes = o.Breathe != nil; !o.breathes {
		o.Breathe = func() {}
	}
}

// Desk is the handler of all addresses.
type Desk struct {
	opt      Options
	store    *Store
	watched  *watched
	key      string // of openFile and leave, once announced
	left     chan struct{}
	leaving  sync.Once
	sessions *sessions
	findings *queue // runs of the chain
	stages   *queue // renderings in memory
	sounds   *queue // renderings that compute
	files    *queue // files in memory that were sent or are to be sent whole
	streams  *queue // sounds under way
	proofs   *proofCache
	played   *cache[*proof.Proof] // as far as sound needs them
	scores   *cache[*parsed]
	rooms    *cache[*measured]
	organs   *cache[*voicing.Organ]
	loud     *cache[loudnessReply]
	places   *cache[*sound.Responses]
	choices  func() ([]byte, error)
	music    *cache[*music]
	engraver func() *engraver // nil: no notation
	mux      *http.ServeMux
	handler  http.Handler
}

// New makes a desk over a folder of projects, which it creates where it is missing.
func New(o Options) (*Desk, error) {
	o.defaults()
	shelf := o.Shelf
	if shelf == nil {
		var err error
		if shelf, err = openFolder(o.Dir); err != nil {
			return nil, err
		}
	}
	store := newStore(shelf)
	store.Most = o.MaxProjects
	kept := newMemory(o.KeptBytes)
	d := &Desk{opt: o, store: store, watched: openWatched(o.Dir),
		sessions: newSessions(o.MaxSessions),
		findings: newQueue(o.Workers, o.MaxWaiting),
		stages:   newQueue(o.Renderings, maxTracks*o.MaxStreams),
		sounds:   newQueue(o.Workers, 2*o.MaxStreams),
		streams:  newQueue(o.MaxStreams, 0),
		files:    newQueue(filesAtOnce, o.MaxWaiting),
		proofs:   newProofCache(kept),
		played:   newCache(kept, "played", bytesOfProof),
		scores:   newCache(kept, "score", bytesOfScore),
		rooms:    newCache(kept, "room", bytesOfRoom),
		organs:   newCache(kept, "organ", bytesOfOrgan),
		loud:     newCache(kept, "loudness", bytesOfLoudness),
		places:   newCache(kept, "responses", bytesOfResponses),
		music:    newCache(kept, "music", bytesOfMusic),
		mux:      http.NewServeMux(),
		left:     make(chan struct{}),
	}
	d.engraver = sync.OnceValue(builtInEngraver)
	d.choices = sync.OnceValues(func() ([]byte, error) { return overviewOf(o, d.engraver()) })
	d.routes()
	d.handler = guard(d.mux)
	return d, nil
}

// ServeHTTP answers one request.
func (d *Desk) ServeHTTP(w http.ResponseWriter, r *http.Request) { d.handler.ServeHTTP(w, r) }

func (d *Desk) routes() {
	d.mux.Handle("GET /{$}", d.session(http.HandlerFunc(d.page)))
	d.mux.HandleFunc("GET /assets/{name}", d.asset)
	d.mux.HandleFunc("GET /report/explain.js", d.explain)
	d.mux.Handle("GET /words/{name}", d.answer(d.words))
	d.mux.Handle("GET /engraving/{name}", d.answer(d.engraverAsset))
	d.mux.Handle("POST /api/open", d.answer(d.openFile))
	d.mux.Handle("POST /api/leave", d.answer(d.leave))
	handle := func(pattern string, h func(http.ResponseWriter, *http.Request) error) {
		d.mux.Handle(pattern, d.session(d.answer(h)))
	}
	spoken := func(pattern string, h func(http.ResponseWriter, *http.Request) error) {
		d.mux.Handle(pattern, d.session(inTerms(d.answer(h))))
	}
	handle("GET /api/desk", d.overview)
	handle("GET /api/describe", d.describing)
	spoken("POST /api/describe/church", d.describeChurch)
	spoken("POST /api/describe/organ", d.describeOrgan)
	spoken("POST /api/describe/claps", d.measureClaps)
	handle("GET /api/projects", d.projects)
	handle("POST /api/projects", d.create)
	handle("GET /api/projects/{id}", d.project)
	handle("PUT /api/projects/{id}", d.save)
	handle("DELETE /api/projects/{id}", d.remove)
	handle("POST /api/projects/{id}/restore", d.remove)
	spoken("POST /api/projects/{id}/proof", d.proof)
	handle("POST /api/projects/{id}/notation", d.notation)
	handle("POST /api/projects/{id}/sound", d.listen)
	handle("POST /api/projects/{id}/loudness", d.loudness)
	spoken("POST /api/projects/{id}/mend", d.mend)
	handle("POST /api/projects/{id}/score", d.newScore)
	handle("GET /api/projects/{id}/watch", d.watch)
	handle("POST /api/projects/{id}/own", d.ownFile)
	spoken("GET /api/projects/{id}/files/{side}/{name}", d.download)
	handle("GET /api/projects/{id}/whole", d.whole)
}

// problem is an error with the status that says whose it is.
type problem struct {
	status int
	error
}

func (p problem) Unwrap() error { return p.error }

func problemf(status int, format string, a ...any) error {
	return problem{status, fmt.Errorf(format, a...)}
}

// answer turns a handler's error into a status and one line of JSON.
func (d *Desk) answer(h func(http.ResponseWriter, *http.Request) error) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		if err == nil {
			return
		}
		status := http.StatusInternalServerError
		var p problem
		var large *http.MaxBytesError
		switch {
		case errors.As(err, &p):
			status = p.status
		case errors.As(err, &large):
			status = http.StatusRequestEntityTooLarge
			err = fmt.Errorf("the file is larger than the %d KB that are taken", large.Limit>>10)
		case r.Context().Err() != nil:
			panic(http.ErrAbortHandler) // the client has left; there is nobody to tell
		}
		if status == http.StatusServiceUnavailable {
			w.Header().Set("Retry-After", "2")
		}
		if status >= 500 && d.opt.Log != nil {
			d.opt.Log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
		}
		if status == http.StatusInternalServerError && p.error == nil { // whatever it says, it may name places on the disk
			err = errors.New("the desk failed; the window in which it runs says why")
		}
		writeJSON(w, status, map[string]string{"error": err.Error()})
	})
}
