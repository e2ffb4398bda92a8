package web

import (
	"io"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"runtime/debug"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
)

// Limits of a request's body.
const (
	formBytes  = 1 << 20  // any form without a photo
	photoBytes = 14 << 20 // a form that may carry a photo and a recipe
	fileBytes  = 64 << 20 // a mailbox or an archive, on the page that brings files in
)

const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; font-src 'self'; " +
	"connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// headers are sent with every answer. Links carry secrets, so no page ever
// tells another site where its visitor came from.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "geolocation=(), microphone=(), camera=()")
		next.ServeHTTP(w, r)
	})
}

// bodyLimit stops reading where a request is larger than its route takes.
func bodyLimit(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		most := int64(formBytes)
		if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
			most = photoBytes
			if isHostPage(r) && strings.HasSuffix(r.URL.Path, "/import") {
				most = fileBytes
			}
		}
		whole := r.Body
		r.Body = http.MaxBytesReader(w, r.Body, most)
		next.ServeHTTP(w, r)
		// A browser that is cut off in the middle of sending shows its own
		// error page; one that may finish shows ours.
		io.CopyN(io.Discard, whole, drained) //nolint:errcheck // what is left does not matter
	})
}

// drained is how much of a refused body is read and thrown away.
const drained = 64 << 20

// sameOrigin refuses state changes that another site's page asks for.
func (s *Server) sameOrigin(next http.Handler) http.Handler {
	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(s.page(func(http.ResponseWriter, *http.Request) error {
		return challenge.Refuse(challenge.Barred, "", "This form was sent from another site's page and was not taken. Open the page here and send it again.")
	}))
	return guard.Handler(next)
}

// logged writes one line a request: the route's pattern, never the address,
// since addresses hold tokens.
func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		rec := &recorder{ResponseWriter: w, status: http.StatusOK}
		next.ServeHTTP(rec, r)
		took := time.Since(began)
		if s.config.Observe != nil {
			s.config.Observe(Answer{Method: methodName(r), Route: route(r), Status: rec.status, Bytes: rec.bytes, Took: took})
		}
		s.config.Log.Info("request", "method", r.Method, "route", route(r), "status", rec.status,
			"bytes", rec.bytes, "ms", took.Milliseconds())
	})
}

type recorder struct {
	http.ResponseWriter
	status, bytes int
}

func (r *recorder) WriteHeader(status int) {
	r.status = status
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(b []byte) (int, error) {
	n, err := r.ResponseWriter.Write(b)
	r.bytes += n
	return n, err
}

// Unwrap lets http.ResponseController reach the connection.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

// route is the pattern a request matched.
func route(r *http.Request) string {
	if rc := chi.RouteContext(r.Context()); rc != nil && rc.RoutePattern() != "" {
		return rc.RoutePattern()
	}
	return "unmatched"
}

// voiced gives every page the site's language.
func (s *Server) voiced(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		site, err := s.db.Site(r.Context())
		if err != nil {
			s.config.Log.Error("read the site", "error", err)
			http.Error(w, "Something went wrong on the server.", http.StatusInternalServerError)
			return
		}
		if strings.HasPrefix(site.PublicURL, "https:") {
			w.Header().Set("Strict-Transport-Security", "max-age=31536000")
			w = &sealedCookies{ResponseWriter: w}
			ownCookies(r)
		}
		ctx := withSite(text.With(r.Context(), voiceFor(site, r)), site)
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// voiceFor is the community's language; before it is chosen, the visitor's.
func voiceFor(site store.Site, r *http.Request) text.Voice {
	if site.SetUpAt.IsZero() {
		return text.For(r.Header.Get("Accept-Language"), nil)
	}
	return text.For(site.Language, nil)
}

// zoned makes a page write times in the challenge's zone, and its visitors'
// pages in its language; the host's team keeps the community's.
func zoned(r *http.Request, c challenge.Challenge) *http.Request {
	v := text.From(r.Context())
	if c.Language != "" && !isHostPage(r) {
		v = text.For(c.Language, nil)
	}
	return r.WithContext(text.With(r.Context(), v.In(c.Location())))
}

// client is the address a request comes from: the connection's, or what a
// proxy named in the configuration says.
func (s *Server) client(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	addr, err := netip.ParseAddr(host)
	if err != nil || !s.trusts(addr) {
		return host
	}
	via := strings.Split(r.Header.Get("X-Forwarded-For"), ",")
	if last := strings.TrimSpace(via[len(via)-1]); last != "" {
		return last
	}
	return host
}

func (s *Server) trusts(addr netip.Addr) bool {
	for _, p := range s.config.Proxies {
		if p.Contains(addr.Unmap()) {
			return true
		}
	}
	return false
}

func urlEscape(s string) string { return url.QueryEscape(s) }

func isHostPage(r *http.Request) bool {
	return r.URL.Path == "/host" || strings.HasPrefix(r.URL.Path, "/host/")
}

// recovered answers a panic with a page and a log line, and lets the server
// go on.
func (s *Server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			p := recover()
			if p == nil {
				return
			}
			if p == http.ErrAbortHandler {
				panic(p)
			}
			s.config.Log.Error("panic", "route", route(r), "panic", p, "stack", string(debug.Stack()))
			http.Error(w, "Something went wrong on the server. Go back and try again.", http.StatusInternalServerError)
		}()
		next.ServeHTTP(w, r)
	})
}
