package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestEveryAnswerCarriesThePolicies(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	for _, path := range []string{"/", "/c/" + slug, "/c/" + slug + "/enter", "/login", "/nowhere", "/healthz"} {
		g := l.person().get(path)
		policy := g.header.Get("Content-Security-Policy")
		require.Contains(t, policy, "default-src 'none'", path)
		require.NotContains(t, policy, "unsafe", path)
		require.Equal(t, "nosniff", g.header.Get("X-Content-Type-Options"), path)
		require.Equal(t, "no-referrer", g.header.Get("Referrer-Policy"), path)
		g.hides("style=", "onclick=", "http://fonts", "https://cdn")
	}
}

func TestAnotherSitesFormIsRefused(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	req, err := http.NewRequest(http.MethodPost, l.server.URL+"/c/"+slug+"/link", strings.NewReader("email=a@example.org"))
	require.NoError(t, err)
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Sec-Fetch-Site", "cross-site")
	req.Header.Set("Origin", "https://elsewhere.example")
	res, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, http.StatusForbidden, res.StatusCode)
}

func TestSignInTellsNobodyWhoExists(t *testing.T) {
	l := newLive(t)
	l.setUp()
	try := func(email, password string) *page {
		return l.person().get("/login").ok().form("email").set("email", email).set("password", password).send()
	}
	known := try("hanne@example.org", "wrong password").is(http.StatusUnprocessableEntity)
	unknown := try("nobody@example.org", "wrong password").is(http.StatusUnprocessableEntity)
	require.Equal(t, strings.ReplaceAll(known.body, "hanne", "nobody"), unknown.body)
	try("hanne@example.org", testPassword).ok().says("What needs you now")
	for range 10 {
		try("hanne@example.org", "guess")
	}
	try("hanne@example.org", "guess").is(http.StatusTooManyRequests).says("tried too often")
}

func TestSignInLeadsNowhereElse(t *testing.T) {
	l := newLive(t)
	l.setUp()
	g := l.person().post("/login", url.Values{"email": {"hanne@example.org"}, "password": {testPassword}, "to": {"//elsewhere.example/host/"}})
	require.Equal(t, "/host", g.ok().url.Path)
}

func TestSetUpRefusesAnAddressThatLeadsNowhere(t *testing.T) {
	l := newLive(t)
	token, err := l.db.SetUpLink(t.Context())
	require.NoError(t, err)
	p := l.person()
	fill := func() *filled {
		return p.get("/setup/"+token).ok().form("site").set("site", "S").set("name", "N").set("email", "n@example.org").set("password", testPassword)
	}
	fill().set("address", "http://localhost:8080").send().is(http.StatusUnprocessableEntity).says("works on this computer alone")
	fill().set("address", "https://recipes.invalid").send().is(http.StatusUnprocessableEntity).says("did not lead back to this server")
	fill().set("address", "https://recipes.example/path").send().is(http.StatusUnprocessableEntity).says("without anything behind the name")
	fill().set("address", l.server.URL).set("trial", "1").send().ok().says("What needs you now")
	p.get("/setup/" + token).is(http.StatusGone).says("works only once")
	_, err = l.db.SetUpLink(t.Context())
	require.ErrorContains(t, err, "set up already")
}

func TestLinksAndAddressesAreNotLogged(t *testing.T) {
	l := newLive(t)
	var log locked
	l.logTo(&log)
	slug := l.challenge(l.setUp())
	own := l.enter(slug, 1)
	token := strings.TrimPrefix(own.url.Path, "/entry/")
	require.Eventually(t, func() bool { return strings.Contains(log.String(), "/entry/{token}") }, 5*time.Second, time.Millisecond)
	for _, secret := range []string{token, "entrant1@example.net", "Quince1", "vine leaves", testPassword} {
		require.NotContains(t, log.String(), secret)
	}
}

// locked is a log that the server writes while a test reads it.
type locked struct {
	mu sync.Mutex
	b  strings.Builder
}

func (l *locked) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *locked) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}
