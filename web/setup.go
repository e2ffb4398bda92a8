package web

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showSetUp(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.db.FollowLink(r.Context(), store.ForSetUp, chi.URLParam(r, "token")); err != nil {
		return err
	}
	return s.ok(w, r, views.SetUp(views.SetUpPage{Frame: s.frame(r, text.T(r.Context(), "Set up this server")), Address: addressOf(r), Language: text.From(r.Context()).Tag.String()}))
}

// addressOf is the address the visitor used, as a first guess at the public
// one.
func addressOf(r *http.Request) string {
	scheme := "http"
	if r.TLS != nil || r.Header.Get("X-Forwarded-Proto") == "https" {
		scheme = "https"
	}
	return scheme + "://" + r.Host
}

func (s *Server) setUp(w http.ResponseWriter, r *http.Request) error {
	if err := parse(r); err != nil {
		return err
	}
	token := chi.URLParam(r, "token")
	if _, err := s.db.FollowLink(r.Context(), store.ForSetUp, token); err != nil {
		return err
	}
	p := views.SetUpPage{Frame: s.frame(r, text.T(r.Context(), "Set up this server")), Language: languageOf(r), SiteName: field(r, "site"), Name: field(r, "name"),
		Email: field(r, "email"), Address: strings.TrimRight(field(r, "address"), "/"), Trial: ticked(r, "trial"), Keep: ticked(r, "keep")}
	if err := s.checkSetUp(r, p); err != nil {
		p.Messages, _ = refusals(err)
		_, p.Untried = p.Messages["keep"]
		s.show(w, r, formStatus(err), views.SetUp(p))
		return nil
	}
	var hash string
	if err := s.hashed(r.Context(), func() { hash = HashPassword(r.PostFormValue("password")) }); err != nil {
		return err
	}
	host, err := s.db.SetUpSite(r.Context(), token, store.SetUp{SiteName: p.SiteName, PublicURL: p.Address, Language: p.Language,
		Name: p.Name, Email: p.Email, PasswordHash: hash})
	if err != nil {
		return err
	}
	if err := s.signIn(w, r, host); err != nil {
		return err
	}
	return to(w, r, "/host")
}

// languageOf is the language a form chose, English for any other.
func languageOf(r *http.Request) string { return text.For(field(r, "language"), nil).Tag.String() }

func (s *Server) checkSetUp(r *http.Request, p views.SetUpPage) error {
	var bad challenge.Refusals
	if p.SiteName == "" || len(p.SiteName) > challenge.MaxTitle {
		bad.Add("site", "Give your community or this site a name.")
	}
	if p.Name == "" || len(p.Name) > challenge.MaxName {
		bad.Add("name", "Give your name.")
	}
	if _, err := challenge.AddressKey(p.Email); err != nil {
		bad.Add("email", "This does not look like an e-mail address. Check it for typing errors.")
	}
	if err := CheckPassword(r.PostFormValue("password"), p.Name, p.SiteName, p.Email); err != nil {
		bad = append(bad, err)
	}
	if err := s.checkAddress(r.Context(), p.Address, p.Trial, p.Keep); err != nil {
		bad = append(bad, err)
	}
	return bad.Err()
}

// IsAddress says whether a text can be a site's public address: scheme and
// name, and nothing behind them.
func IsAddress(s string) bool {
	u, err := url.Parse(s)
	return err == nil && u.Hostname() != "" && (u.Scheme == "http" || u.Scheme == "https") && u.Path == "" && u.RawQuery == "" &&
		!u.ForceQuery && u.Fragment == "" && u.User == nil
}

// checkAddress tries the public address at once: it must lead back to this
// very process, so that no link or QR code ever leads nowhere.
func (s *Server) checkAddress(ctx context.Context, address string, trial, keep bool) *challenge.Refusal {
	if !IsAddress(address) {
		return challenge.Refuse(challenge.Invalid, "address", "Write the address with https:// and without anything behind the name, such as https://recipes.example.org.")
	}
	u, err := url.Parse(address)
	if err != nil {
		return challenge.Refuse(challenge.Invalid, "address", "This is no address.")
	}
	if onlyHere(u.Hostname()) {
		if trial {
			return nil
		}
		return challenge.Refuse(challenge.Invalid, "address", "“%v” works on this computer alone; nobody who scans your QR code could open it. Give the address other people use, or tick that you are only trying it out.", u.Hostname())
	}
	if s.leadsHere(ctx, u) || keep {
		return nil
	}
	return challenge.Refuse(challenge.Invalid, "keep", "This address was tried just now and did not lead back to this server. Check it for typing errors and that the server is reachable. If you are sure, tick the box to keep it.")
}

func onlyHere(name string) bool {
	if name == "localhost" || strings.HasSuffix(name, ".localhost") {
		return true
	}
	addr, err := netip.ParseAddr(name)
	return err == nil && (addr.IsLoopback() || addr.IsUnspecified())
}

// leadsHere asks the address for this process's mark, which a reader of the
// answer cannot make up.
func (s *Server) leadsHere(ctx context.Context, u *url.URL) bool {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, u.Scheme+"://"+u.Host+"/healthz", nil)
	if err != nil {
		return false
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		Transport: &http.Transport{DialContext: (&net.Dialer{Timeout: 3 * time.Second}).DialContext, DisableKeepAlives: true}}
	res, err := client.Do(req)
	if err != nil {
		return false
	}
	defer res.Body.Close()
	body, err := io.ReadAll(io.LimitReader(res.Body, 200))
	return err == nil && strings.Contains(string(body), s.mark)
}

func (s *Server) health(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	io.WriteString(w, "ok "+s.mark+"\n") //nolint:errcheck // the client is gone
}

func (s *Server) ready(w http.ResponseWriter, r *http.Request) {
	if err := s.db.Ping(r.Context()); err != nil {
		http.Error(w, "the database does not answer", http.StatusServiceUnavailable)
		return
	}
	s.health(w, r)
}
