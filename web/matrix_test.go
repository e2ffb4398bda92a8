package web

import (
	"context"
	"crypto/rand"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/store"
)

// reach is what the holder of each kind of link may ask for, by the beginning
// of the path below the desk. Everything else must be refused, whatever the
// method; a route that is added is refused to everybody until it stands here.
var reach = map[challenge.Role][]string{
	challenge.Reader: {"/$", "/reading"},
	challenge.Judge:  {"/$", "/credit$", "/diet$", "/connection", "/home/", "/score", "/tasting/{round}$"},
	challenge.Cohost: {"/$", "/reading", "/pick", "/entries$", "/entries/{number}$", "/entries/alike$", "/entries/{number}/beside", "/questions$", "/draw", "/tie", "/level"},
}

type matrix struct {
	server *Server
	routes []struct{ method, pattern string }
	tokens map[challenge.Role]string
	slug   string
}

func newMatrix(t *testing.T) matrix {
	now := time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "m.db"), store.Options{Now: func() time.Time { return now }, Random: rand.Reader})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	setUp, err := db.SetUpLink(t.Context())
	require.NoError(t, err)
	id, err := db.SetUpSite(t.Context(), setUp, store.SetUp{SiteName: "S", PublicURL: "http://127.0.0.1", Language: "en", Name: "H", Email: "h@example.org", PasswordHash: "x"})
	require.NoError(t, err)
	host := challenge.Actor{Role: challenge.Host, ID: id}
	m := matrix{server: New(db, Config{}), tokens: map[challenge.Role]string{}}
	m.slug, err = db.CreateChallenge(t.Context(), host, challenge.Settings{Title: "Leaves", Zone: "UTC", OpensAt: now.Add(-time.Hour), ClosesAt: now.AddDate(0, 0, 9),
		Release: now.AddDate(0, 0, 20), EntriesPerPerson: 1, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria()})
	require.NoError(t, err)
	c, err := db.ChallengeBySlug(t.Context(), m.slug)
	require.NoError(t, err)
	require.NoError(t, db.Announce(t.Context(), host, c.ID))
	for role := range reach {
		m.tokens[role], err = db.Invite(t.Context(), host, c.ID, role, "P", "")
		require.NoError(t, err)
	}
	_, m.tokens[challenge.Entrant], err = db.Submit(t.Context(), c.ID, "", challenge.Submission{Name: "E", Email: "e@example.org", Text: "Soup\n\n1 leek", Origin: challenge.OriginOwn,
		Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}}, "", nil)
	require.NoError(t, err)
	require.NoError(t, chi.Walk(m.server.handler.(chi.Routes), func(method, route string, _ http.Handler, _ ...func(http.Handler) http.Handler) error {
		m.routes = append(m.routes, struct{ method, pattern string }{method, route})
		return nil
	}))
	require.Greater(t, len(m.routes), 60)
	return m
}

var asked int

var parameter = regexp.MustCompile(`\{[a-z]+\}`)

// ask sends an empty request to a route whose parameters are filled in.
func (m matrix) ask(method, pattern, purpose, token string) *httptest.ResponseRecorder {
	path := strings.NewReplacer("{slug}", m.slug, "{purpose}", purpose, "{token}", token, "{round}", "1", "{number}", "1", "{code}", "417").Replace(pattern)
	path = parameter.ReplaceAllString(path, "1")
	r := httptest.NewRequestWithContext(context.Background(), method, path, nil)
	r.Host = "127.0.0.1"
	// Each from another network: guesses from one are slowed.
	r.RemoteAddr = netip.AddrPortFrom(netip.AddrFrom4([4]byte{10, byte(asked >> 16), byte(asked >> 8), byte(asked)}), 4000).String()
	asked++
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	w := httptest.NewRecorder()
	m.server.ServeHTTP(w, r)
	return w
}

func (m matrix) below(prefix string) (found []struct{ method, pattern string }) {
	for _, r := range m.routes {
		if strings.HasPrefix(r.pattern, prefix) {
			found = append(found, r)
		}
	}
	return found
}

func TestHostsPagesNeedAPassword(t *testing.T) {
	m := newMatrix(t)
	for _, r := range m.below("/host") {
		w := m.ask(r.method, r.pattern, "", "")
		switch r.method {
		case http.MethodGet:
			require.Equal(t, http.StatusSeeOther, w.Code, "%s %s", r.method, r.pattern)
			require.Contains(t, w.Header().Get("Location"), "/login", r.pattern)
		default:
			require.Equal(t, http.StatusForbidden, w.Code, "%s %s", r.method, r.pattern)
		}
	}
}

func TestALinkReachesWhatItIsForAndNothingElse(t *testing.T) {
	m := newMatrix(t)
	for role, allowed := range reach {
		for _, r := range m.below("/with/{purpose}/{token}") {
			path := strings.TrimPrefix(r.pattern, "/with/{purpose}/{token}")
			w := m.ask(r.method, r.pattern, string(role), m.tokens[role])
			if !reaches(allowed, path) {
				require.GreaterOrEqual(t, w.Code, 400, "%s may not %s %s", role, r.method, path)
				require.Less(t, w.Code, 500, "%s %s %s", role, r.method, path)
			}
			require.NotEqual(t, http.StatusInternalServerError, w.Code, "%s %s %s", role, r.method, path)
		}
	}
}

func reaches(allowed []string, path string) bool {
	for _, a := range allowed {
		if exact, ok := strings.CutSuffix(a, "$"); ok && path == exact || !ok && strings.HasPrefix(path, a) {
			return true
		}
	}
	return false
}

func TestAnotherKindOfLinkOpensNoDesk(t *testing.T) {
	m := newMatrix(t)
	for _, r := range m.below("/with/{purpose}/{token}") {
		for purpose, token := range map[string]string{"reader": m.tokens[challenge.Entrant], "cohost": m.tokens[challenge.Judge], "judge": "AAAAAAAAAAAAAAAAAAAAAA", "setup": m.tokens[challenge.Reader], "entrant": m.tokens[challenge.Cohost]} {
			w := m.ask(r.method, r.pattern, purpose, token)
			require.Equal(t, http.StatusNotFound, w.Code, "%s %s as %s", r.method, r.pattern, purpose)
		}
	}
}
