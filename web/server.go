package web

import (
	"cmp"
	"context"
	"crypto/rand"
	"log/slog"
	"net/http"
	"net/netip"
	"time"

	"github.com/alexedwards/scs/v2"

	"fairladle/store"
	"fairladle/web/outbox"
	"fairladle/web/photo"
	"fairladle/web/text"
)

// Config is what a server is told from outside.
type Config struct {
	Log *slog.Logger
	// Proxies may say in X-Forwarded-For whom they speak for; nobody else can.
	Proxies []netip.Prefix
	// Copies says when the newest scheduled copy was made; nil: none are made.
	// They are made every CopiesEvery.
	Copies      func() (time.Time, error)
	CopiesEvery time.Duration
	// Observe, where it is given, is told of every answer.
	Observe func(Answer)
	// Names are further names under which the site may be asked, besides that
	// of its public address.
	Names []string
	// EntriesPerMinute is how often one network may use the entry form; 0 is
	// 120.
	EntriesPerMinute int
	// Mail is the server that letters leave by; nil: they wait in the outbox.
	Mail *outbox.Server
	// PDF gives the text of a PDF that is brought in, in bounded time; nil: such
	// files are left out.
	PDF func(ctx context.Context, data []byte) (string, error)
}

// Server is the site over one database.
type Server struct {
	db        *store.DB
	config    Config
	sessions  *scs.SessionManager
	photos    *photo.Cleaner
	limits    limits
	cards     cards
	pages     keptPages
	hashing   chan struct{}
	importing chan struct{} // holds one file that is brought in
	mark      string        // of this process, by which it recognises its own public address
	handler   http.Handler  // every route
	front     http.Handler  // what is kept, and every route behind it
}

// New makes the site. Close the database only after the server has stopped.
func New(db *store.DB, c Config) *Server {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{db: db, config: c, photos: photo.NewCleaner(2), hashing: make(chan struct{}, 2), importing: make(chan struct{}, 1), mark: rand.Text()}
	s.sessions = newSessions(db)
	s.sessions.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) {
		s.page(func(http.ResponseWriter, *http.Request) error { return err })(w, r)
	}
	s.limits = newLimits(c.EntriesPerMinute)
	s.handler = s.routes()
	s.front = s.stands(s.handler)
	return s
}

func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.front.ServeHTTP(w, r) }

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
		if err := s.db.DropOldImports(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("drop old imports", "error", err)
		}
		if _, err := s.db.Forget(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("erase what is kept no longer", "error", err)
		}
		made, err := s.MakeImported(ctx, importPiece)
		if err != nil && ctx.Err() == nil {
			s.config.Log.Error("make imported entries", "error", err)
		}
		if err := s.db.RemindPickers(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("remind pickers", "error", err)
		}
		if err := s.db.RunMailings(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("make released messages", "error", err)
		}
		if err := s.db.PassOnPrizes(ctx); err != nil && ctx.Err() == nil {
			s.config.Log.Error("pass prizes on", "error", err)
		}
		s.sendMail(ctx)
		s.tellKept()
		wait := time.Second
		if made == importPiece {
			wait = 0
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(wait):
		}
	}
}

// letter words a message in the language of its challenge.
func letter(st store.Site, m store.Message) outbox.Letter {
	return outbox.Write(text.For(cmp.Or(m.Language, st.Language), nil), st.Name, st.PublicURL, m)
}

// sendMail hands over what is due, a few at a time. A message counts as sent
// only when the mail server took it.
func (s *Server) sendMail(ctx context.Context) {
	if s.config.Mail == nil {
		return
	}
	due, err := s.db.Due(ctx, 20)
	if err != nil {
		s.config.Log.Error("read the outbox", "error", err)
		return
	}
	if len(due) == 0 {
		return
	}
	st, err := s.db.Site(ctx)
	if err != nil {
		s.config.Log.Error("read the site", "error", err)
		return
	}
	for _, m := range due {
		err := s.config.Mail.Send(ctx, letter(st, m))
		if err == nil {
			err = s.db.Sent(ctx, m.ID)
		} else if ctx.Err() == nil {
			why, forGood := outbox.Failure(err)
			s.config.Log.Warn("a message could not be sent", "message", m.ID, "kind", m.Kind, "why", why)
			err = s.db.NotSent(ctx, m.ID, why, forGood)
		}
		if err != nil && ctx.Err() == nil {
			s.config.Log.Error("note what became of a message", "error", err)
		}
	}
}
