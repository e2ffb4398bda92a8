package web

import (
	"context"
	"crypto/rand"
	"log/slog"
	"net/http"
	"net/netip"
	"time"

	"github.com/alexedwards/scs/v2"

	"fairladle/store"
	"fairladle/web/photo"
)

// Config is what a server is told from outside.
type Config struct {
	Log *slog.Logger
	// Proxies may say in X-Forwarded-For whom they speak for; nobody else can.
	Proxies []netip.Prefix
	// EntriesPerMinute is how often one network may use the entry form; 0 is
	// 120.
	EntriesPerMinute int
}

// Server is the site over one database.
type Server struct {
	db       *store.DB
	config   Config
	sessions *scs.SessionManager
	photos   *photo.Cleaner
	limits   limits
	hashing  chan struct{}
	mark     string // of this process, by which it recognises its own public address
	handler  http.Handler
}

// New makes the site. Close the database only after the server has stopped.
func New(db *store.DB, c Config) *Server {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{db: db, config: c, photos: photo.NewCleaner(2), hashing: make(chan struct{}, 2), mark: rand.Text()}
	s.sessions = scs.New()
	s.sessions.Store = db.Sessions()
	s.sessions.HashTokenInStore = true
	s.sessions.Lifetime = 14 * 24 * time.Hour
	s.sessions.IdleTimeout = 7 * 24 * time.Hour
	s.sessions.Cookie.Name = "fairladle"
	s.sessions.Cookie.HttpOnly = true
	s.sessions.Cookie.SameSite = http.SameSiteLaxMode
	s.sessions.Cookie.Secure = false // secureCookies adds it where the site's address is https
	s.sessions.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) {
		s.page(func(http.ResponseWriter, *http.Request) error { return err })(w, r)
	}
	s.limits = newLimits(c.EntriesPerMinute)
	s.handler = s.routes()
	return s
}

func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Work does what waits behind the pages until ctx ends: closings whose time
// has come, and jobs. What it leaves unfinished is found again at the next
// start.
func (s *Server) Work(ctx context.Context) {
	for {
		if err := s.db.CloseDue(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("record closings", "error", err)
		}
		if _, err := s.db.RunJobs(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("run jobs", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Second):
		}
	}
}
