package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"fairladle/store"
	"fairladle/store/backup"
	"fairladle/web"
	"fairladle/web/pdf"
)

func serveCommand(ctx context.Context, args []string, out io.Writer) error {
	c, err := readConfig(args, os.Environ(), out)
	if err != nil {
		return err
	}
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(50) // small machines: memory is scarcer than time
	}
	db, err := store.Open(ctx, filepath.Join(c.data, backup.Name), store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return err
	}
	defer closeDB(db)
	open := sockets{}
	ln, err := open.listen(ctx, "listen", c.listen)
	if err != nil {
		return err
	}
	status, err := open.listen(ctx, "status", c.status)
	if err != nil {
		return errors.Join(err, ln.Close())
	}
	if err := greet(ctx, db, ln, out); err != nil {
		return errors.Join(err, ln.Close())
	}
	c.tell(out)
	log := logger(c.logJSON)
	w := newWatch()
	told := web.Config{Log: log, Proxies: c.proxies, Names: c.names, Mail: c.mail, PDF: pdf.Apart, Observe: w.observe}
	if c.backups != "" {
		told.Copies, told.CopiesEvery = func() (time.Time, error) { return backup.Newest(c.backups) }, c.every
	}
	site := web.New(db, told)
	w.registry.MustRegister(backlog{site})
	r := newService(site, log, open)
	if c.cert != "" {
		pair, err := newCertificate(c.cert, c.key)
		if err != nil {
			return err
		}
		ln = tls.NewListener(ln, pair.config())
	}
	r.serve(ln, site)
	r.behind = append(r.behind, r.drain.rest)
	if status != nil {
		r.serve(status, w.handler(site))
	}
	if c.backups != "" {
		r.behind = append(r.behind, func(ctx context.Context) { keepBackups(ctx, c, log, w) })
	}
	return r.until(ctx)
}

func env(name, otherwise string) string {
	if v := os.Getenv(name); v != "" {
		return v
	}
	return otherwise
}

func prefixes(s string) ([]netip.Prefix, error) {
	var ps []netip.Prefix
	for _, f := range strings.FieldsFunc(s, func(c rune) bool { return c == ',' || c == ' ' }) {
		p, err := netip.ParsePrefix(f)
		if err != nil {
			return nil, fmt.Errorf("--proxies: %q is no network; write one like 10.0.0.0/8 or 192.0.2.1/32", f)
		}
		ps = append(ps, p)
	}
	return ps, nil
}

func logger(asJSON bool) *slog.Logger {
	if asJSON {
		return slog.New(slog.NewJSONHandler(os.Stderr, nil))
	}
	return slog.New(slog.NewTextHandler(os.Stderr, nil))
}

// greet prints where the server is, and on an empty folder the one-time
// set-up link.
func greet(ctx context.Context, db *store.DB, ln net.Listener, out io.Writer) error {
	site, err := db.Site(ctx)
	if err != nil {
		return err
	}
	if !site.SetUpAt.IsZero() {
		fmt.Fprintf(out, "%s is served at %s (listening on %s)\n", site.Name, site.PublicURL, ln.Addr())
		return nil
	}
	token, err := db.SetUpLink(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "This server is new. Open this link once, within a day, to set it up:\n\n  http://%s/setup/%s\n\n", ln.Addr(), token)
	fmt.Fprintln(out, "If the server has another address for you, put that in place of the first part.")
	return nil
}

// A service is a server at work.
type service struct {
	site    *web.Server
	log     *slog.Logger
	open    sockets
	servers []*http.Server
	places  []net.Listener
	failed  chan error
	// accepting counts the loops that take connections.
	accepting sync.WaitGroup
	drain     drain
	behind    []func(context.Context) // besides the site's own work
}

func newService(site *web.Server, log *slog.Logger, open sockets) *service {
	return &service{site: site, log: log, open: open, failed: make(chan error, 4), drain: drain{busy: map[net.Conn]time.Time{}}}
}

// serve begins to answer at a socket.
func (s *service) serve(ln net.Listener, h http.Handler) {
	server := &http.Server{Handler: s.drain.lastly(h), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 2 * time.Minute,
		WriteTimeout: 2 * time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10, ConnState: s.drain.note,
		ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn)}
	s.servers, s.places = append(s.servers, server), append(s.places, ln)
	s.accepting.Go(func() { s.failed <- server.Serve(ln) })
}

// until works until ctx ends or another process has taken over, then lets
// the requests under way finish.
func (s *service) until(ctx context.Context) error {
	alone, err := takenOver()
	if err != nil {
		return err
	}
	if err := tellSystemd("READY=1"); err != nil {
		s.log.Warn("systemd could not be told", "error", err)
	}
	stopWork := s.work(alone)
	asked := make(chan os.Signal, 1)
	if len(s.open) > 0 && len(restartSignals) > 0 {
		signal.Notify(asked, restartSignals...)
		defer signal.Stop(asked)
	}
	for {
		select {
		case err = <-s.failed:
			return errors.Join(err, s.stop(stopWork, 0))
		case <-ctx.Done():
			return s.stop(stopWork, 0)
		case <-asked:
			before, err := restart(ctx, s.open)
			if err != nil {
				s.log.Error("not restarted; this process goes on", "error", err)
				continue
			}
			s.log.Info("another process has taken over; finishing what is under way")
			// The pipe behind it closes when this process ends, not before.
			defer before.Close()
			return s.stop(stopWork, lingering)
		}
	}
}

// work begins what goes on behind the pages once no other process does it, and
// returns how to end it.
func (s *service) work(alone <-chan struct{}) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	var all sync.WaitGroup
	for _, f := range append(s.behind, s.site.Work) {
		all.Go(func() {
			select {
			case <-alone:
				f(ctx)
			case <-ctx.Done():
			}
		})
	}
	return func() { cancel(); all.Wait() }
}

// How long requests under way may take to finish, and how long kept
// connections have to be used once more after a handover.
const (
	grace     = 20 * time.Second
	lingering = time.Second
)

func (s *service) stop(stopWork func(), linger time.Duration) error {
	s.drain.closing.Store(true)
	for _, ln := range s.places {
		ln.Close() //nolint:errcheck // Serve returns either way
	}
	s.accepting.Wait()
	stopWork()
	s.drain.wait(linger, grace)
	last, cancel := context.WithTimeout(context.Background(), grace)
	defer cancel()
	var errs []error
	for _, server := range s.servers {
		errs = append(errs, server.Shutdown(last))
	}
	return errors.Join(errs...)
}

// serve is for the demonstration, which has neither files nor settings.
func serve(ctx context.Context, ln net.Listener, db *store.DB, c web.Config) error {
	site := web.New(db, c)
	r := newService(site, c.Log, sockets{})
	r.serve(ln, site)
	return r.until(ctx)
}

func closeDB(db *store.DB) {
	if err := db.Close(); err != nil {
		fmt.Fprintln(os.Stderr, "fairladle: close the database:", err)
	}
}
