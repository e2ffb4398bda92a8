package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"maps"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// Public pages are the same for everyone who brings no cookie, and change only
// with the database and at the moments it names. So each is rendered once per
// change and kept, with its compressed bytes.
type keptPages struct {
	lock sync.RWMutex
	held map[string]*keptPage
	size int
	// dropped counts answers of pages that are not held any more, by route.
	dropped map[string]int64
}

// A keptPage holds from one moment until another, while nothing is written.
type keptPage struct {
	version     uint64
	from, until time.Time
	header      http.Header
	tag, route  string
	answers     atomic.Int64 // not told yet
	body        []byte
	zip         sync.Once
	zipped      []byte
}

const (
	mostKeptBytes = 8 << 20
	mostPageBytes = 1 << 20
	// keptFor bounds how long a page stands that speaks of a moment which the
	// database does not name, or that another process changed.
	keptFor = time.Second
	// smallest is the size below which compressing saves nothing.
	smallest = 1400
)

type renderingKey struct{}

// A rendering is a request whose answer may be kept: under which key, and what
// the database was before it was read.
type rendering struct {
	s       *Server
	key     string
	version uint64
	at      time.Time
}

// stands answers with a page that still stands, or lets it be rendered and
// kept. It comes before everything else: what was kept has passed the rest.
func (s *Server) stands(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := r.Header
		if r.Method != http.MethodGet || h["Cookie"] != nil || h["Range"] != nil || h["Authorization"] != nil || len(r.RequestURI) > 200 {
			next.ServeHTTP(w, r)
			return
		}
		x := &rendering{s, r.Host + r.RequestURI, s.db.Version(), s.db.Now()}
		s.pages.lock.RLock()
		p := s.pages.held[x.key]
		s.pages.lock.RUnlock()
		if p != nil && p.version == x.version && !x.at.Before(p.from) && x.at.Before(p.until) {
			p.answers.Add(1)
			p.answer(w, r)
			return
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), renderingKey{}, x)))
	})
}

// tellKept writes how often kept pages were answered since the last time: a
// line for each answer would cost more than the answer.
func (s *Server) tellKept() {
	s.pages.lock.Lock()
	defer s.pages.lock.Unlock()
	for route, n := range s.pages.dropped {
		s.config.Log.Info("answered from kept pages", "route", route, "count", n)
	}
	clear(s.pages.dropped)
	for _, p := range s.pages.held {
		if n := p.answers.Swap(0); n > 0 {
			s.config.Log.Info("answered from kept pages", "route", p.route, "count", n)
		}
	}
}

func (p *keptPage) answer(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	maps.Copy(h, p.header)
	body := p.body
	if len(body) >= smallest && acceptsGzip(r) {
		h.Set("ETag", `"`+p.tag+`-gz"`)
		body = p.compressed()
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if match := r.Header.Get("If-None-Match"); match != "" && strings.Contains(match, p.tag) {
		h.Del("Content-Type")
		h.Del("Content-Encoding")
		h.Del("Content-Length")
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Write(body) //nolint:errcheck // the client is gone
}

func acceptsGzip(r *http.Request) bool {
	for _, accepted := range r.Header["Accept-Encoding"] {
		if strings.Contains(accepted, "gzip") && !strings.Contains(accepted, "gzip;q=0") {
			return true
		}
	}
	return false
}

func (p *keptPage) compressed() []byte {
	p.zip.Do(func() {
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		z.Write(p.body) //nolint:errcheck // a buffer takes everything
		z.Close()       //nolint:errcheck // as above
		p.zipped = b.Bytes()
	})
	return p.zipped
}

// keep holds a public file for the next who asks, where this request was one
// that may share it.
func keep(w http.ResponseWriter, r *http.Request, tag string, body []byte) {
	x, ok := r.Context().Value(renderingKey{}).(*rendering)
	if !ok || len(body) > mostPageBytes || w.Header().Get("Set-Cookie") != "" {
		return
	}
	until := x.at.Add(keptFor)
	next, err := x.s.db.NextMoment(r.Context(), x.at)
	if err != nil {
		return // it is rendered again next time
	}
	if !next.IsZero() && next.Before(until) {
		until = next
	}
	w.Header().Add("Vary", "Accept-Encoding")
	x.s.pages.put(x.key, &keptPage{version: x.version, from: x.at, until: until, header: w.Header().Clone(), tag: tag, route: route(r), body: body})
}

func (x *keptPages) put(key string, p *keptPage) {
	x.lock.Lock()
	defer x.lock.Unlock()
	x.drop(key)
	if x.size+len(p.body) > mostKeptBytes {
		for old := range x.held {
			x.drop(old)
		}
	}
	if x.held == nil {
		x.held, x.dropped = map[string]*keptPage{}, map[string]int64{}
	}
	x.held[key] = p
	x.size += len(p.body)
}

func (x *keptPages) drop(key string) {
	old := x.held[key]
	if old == nil {
		return
	}
	if n := old.answers.Load(); n > 0 {
		x.dropped[old.route] += n
	}
	x.size -= len(old.body)
	delete(x.held, key)
}
