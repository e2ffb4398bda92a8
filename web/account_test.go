package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/web"
	"fairladle/web/outbox"
)

func (l *live) signInAs(email, password string) *person {
	p := l.person()
	p.get("/login").ok().form("email").set("email", email).set("password", password).send().ok().says("What needs you now")
	return p
}

func TestSessionsAreListedAndEnded(t *testing.T) {
	l := newLive(t)
	first := l.setUp()
	second := l.signInAs("hanne@example.org", testPassword)
	third := l.signInAs("hanne@example.org", testPassword)
	first.get("/host/account").ok().says("this browser", "Sign out there", "Signed in.")
	first.get("/host/account").ok().button("Sign out there").send().ok().says("Signed out there.")
	open := 0
	for _, p := range []*person{second, third} {
		if strings.Contains(p.get("/host").text(), "What needs you now") {
			open++
		}
	}
	require.Equal(t, 1, open, "one of the two others was ended")
	first.get("/host").ok().says("What needs you now")
	first.get("/host/account").ok().button("Sign out everywhere else").send().ok()
	for _, p := range []*person{second, third} {
		p.get("/host").says("Sign in").hides("What needs you now")
	}
	first.post("/logout", nil).ok()
	first.get("/host").says("Sign in").hides("What needs you now")
}

// A cookie that was copied stops with the sign-in it belongs to.
func TestACopiedCookieStopsWhenItsOwnerSignsOut(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	u, err := url.Parse(l.server.URL)
	require.NoError(t, err)
	thief := l.person()
	thief.client.Jar.SetCookies(u, host.client.Jar.Cookies(u))
	thief.get("/host").ok().says("What needs you now")
	host.post("/logout", nil)
	thief.get("/host").says("Sign in").hides("What needs you now")
}

func TestPasswordIsChangedWithTheOldOneAlone(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	other := l.signInAs("hanne@example.org", testPassword)
	fill := func(current, fresh string) *page {
		return host.get("/host/account").ok().form("password").set("current", current).set("password", fresh).send()
	}
	fill("not it at all", "nine ladles of broth").is(http.StatusUnprocessableEntity).says("This is not your password")
	fill(testPassword, "short").is(http.StatusUnprocessableEntity).says("At least 10 characters")
	fill(testPassword, "password1234").is(http.StatusUnprocessableEntity).says("easily guessed")
	fill(testPassword, "HanneOsei1").is(http.StatusUnprocessableEntity).says("easily guessed")
	fill(testPassword, "nine ladles of broth").ok().says("signed out everywhere else", "The password was changed")
	host.get("/host").ok().says("What needs you now")
	other.get("/host").says("Sign in")
	l.person().get("/login").ok().form("email").set("email", "hanne@example.org").set("password", testPassword).send().is(http.StatusUnprocessableEntity)
	l.signInAs("hanne@example.org", "nine ladles of broth")
}

func TestCommonPasswordsAreRefused(t *testing.T) {
	for _, p := range []string{"1234567890", "qwertyuiop", "password123", "iloveyou123", "aaaaaaaaaaaa", "abcdefghij", "Millrace2026"} {
		require.NotNil(t, web.CheckPassword(p, "Hanne Osei", "Millrace"), p)
	}
	for _, p := range []string{testPassword, "the serving hatch", "correct horse battery staple", strings.Repeat("plum tart ", 19)} {
		require.Nil(t, web.CheckPassword(p, "Hanne Osei", "Millrace"), p)
	}
	require.NotNil(t, web.CheckPassword(strings.Repeat("plum tart ", 21)))
}

// Guesses at an account wait, wherever they come from, alike whether there is
// such an account; a browser in which its host signed in before does not.
func TestGuessesAtAnAccountAreSlowedAndLockNobodyOut(t *testing.T) {
	l := newLive(t)
	l.config.Proxies = loopback()
	l.site = web.New(l.db, l.config)
	host := l.setUp()
	host.post("/logout", nil)
	tries := 0
	from := func(p *person, email, password string) *page {
		tries++ // each from another network
		return p.via("198.51.100."+itoa(tries)).post("/login", url.Values{"email": {email}, "password": {password}})
	}
	for range 20 {
		from(l.person(), "hanne@example.org", "guess").is(http.StatusUnprocessableEntity)
	}
	known := from(l.person(), "hanne@example.org", testPassword).is(http.StatusTooManyRequests).says("Too many wrong passwords")
	tries = 100
	for range 20 {
		from(l.person(), "nobody@example.org", "guess").is(http.StatusUnprocessableEntity)
	}
	unknown := from(l.person(), "nobody@example.org", "guess").is(http.StatusTooManyRequests)
	require.Equal(t, known.body, unknown.body)
	from(host, "hanne@example.org", testPassword).ok().says("What needs you now")
	host.get("/host/account").ok().says("So many wrong passwords were given")
}

func TestDeadLinksAreSlowed(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	own := l.enter(slug, 1).url.Path
	for range 40 {
		l.person().get("/entry/AAAAAAAAAAAAAAAAAAAAAA").is(http.StatusNotFound)
	}
	l.person().get("/entry/AAAAAAAAAAAAAAAAAAAAAA").is(http.StatusTooManyRequests)
	l.person().get("/with/judge/AAAAAAAAAAAAAAAAAAAAAA").is(http.StatusTooManyRequests)
	l.person().get(own).is(http.StatusTooManyRequests)
	l.person().get("/c/" + slug).ok()
}

func TestOnlyTheSitesOwnNameIsServed(t *testing.T) {
	l := newLive(t)
	l.setUp()
	ask := func(name string) int {
		r, err := http.NewRequest(http.MethodGet, l.server.URL+"/", nil)
		require.NoError(t, err)
		r.Host = name
		res, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		return res.StatusCode
	}
	require.Equal(t, http.StatusOK, ask(""))
	require.Equal(t, http.StatusOK, ask("localhost:8080"))
	require.Equal(t, http.StatusMisdirectedRequest, ask("attacker.example"))
	require.Equal(t, http.StatusMisdirectedRequest, ask("127.0.0.1.attacker.example"))
	require.NoError(t, l.db.MoveSite(t.Context(), "https://recipes.example"))
	require.Equal(t, http.StatusOK, ask("recipes.example"))
	require.Equal(t, http.StatusOK, ask("Recipes.Example:443"))
	l.config.Names = []string{"www.recipes.example"}
	l.site = web.New(l.db, l.config)
	require.Equal(t, http.StatusOK, ask("www.recipes.example"))
}

// On https cookies are Secure and carry the prefix that ties them to this
// host, and one without it is not believed.
func TestCookiesOfASecureSite(t *testing.T) {
	l := newLive(t)
	l.setUp()
	require.NoError(t, l.db.MoveSite(t.Context(), "https://recipes.example"))
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := client.PostForm(l.server.URL+"/login", url.Values{"email": {"hanne@example.org"}, "password": {testPassword}})
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, http.StatusSeeOther, res.StatusCode)
	require.NotEmpty(t, res.Header.Get("Strict-Transport-Security"))
	require.Len(t, res.Cookies(), 2)
	for _, c := range res.Cookies() {
		require.True(t, strings.HasPrefix(c.Name, "__Host-fairladle"), c.Name)
		require.True(t, c.Secure && c.HttpOnly && c.Path == "/" && c.SameSite == http.SameSiteLaxMode, c.Raw)
	}
	home := func(name, value string) int {
		r, err := http.NewRequest(http.MethodGet, l.server.URL+"/host", nil)
		require.NoError(t, err)
		r.AddCookie(&http.Cookie{Name: name, Value: value})
		res, err := client.Do(r)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		return res.StatusCode
	}
	for _, c := range res.Cookies() {
		if c.Name == "__Host-fairladle" {
			require.Equal(t, http.StatusOK, home(c.Name, c.Value))
			require.Equal(t, http.StatusSeeOther, home("fairladle", c.Value))
		}
	}
}

func TestHostResetLink(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	hosts, err := l.db.Hosts(t.Context())
	require.NoError(t, err)
	require.Len(t, hosts, 1)
	stale, err := l.db.ResetLink(t.Context(), hosts[0].ID)
	require.NoError(t, err)
	token, err := l.db.ResetLink(t.Context(), hosts[0].ID)
	require.NoError(t, err)
	l.person().get("/reset/" + stale).is(http.StatusGone)
	p := l.person()
	p.get("/reset/"+token).ok().form("password").set("password", "password1234").send().is(http.StatusUnprocessableEntity).says("easily guessed")
	p.get("/reset/"+token).ok().form("password").set("password", "nine ladles of broth").send().ok().says("Sign in with it")
	host.get("/host").says("Sign in").hides("What needs you now")
	p.get("/reset/" + token).is(http.StatusGone).says("works only once")
	l.signInAs("hanne@example.org", "nine ladles of broth").get("/host/account").ok().says("A link for a new password was made on the server’s command line")
}

func TestResetLinkExpires(t *testing.T) {
	l := newLive(t)
	l.setUp()
	token, err := l.db.ResetLink(t.Context(), 1)
	require.NoError(t, err)
	l.now = l.now.Add(61 * time.Minute)
	l.person().get("/reset/" + token).is(http.StatusGone).says("has expired")
}

func TestPrivateLinksExpireAndCanBeRenewed(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1)
	judge := l.invite(host, slug, "judge", "Ravi")
	host.get("/host/c/" + slug + "/people").ok().says("Links stop by themselves on 31 December 2026")
	fresh := own.button("Make a new private link").send().ok().says("This is your new private link")
	l.person().get(own.url.Path).is(http.StatusGone).says("has been withdrawn")
	l.person().get(fresh.url.Path).ok()

	l.now = testStart.AddDate(0, 0, 28) // the release is on 1 December
	l.person().get(judge).ok()
	l.now = testStart.AddDate(0, 0, 61)
	l.person().get(judge).is(http.StatusGone).says("has expired")
	l.person().get(fresh.url.Path).ok()
	again := host.get("/host/c/" + slug + "/people").ok().button("Make a new link for Ravi").send().ok()
	require.Contains(t, again.body, "/with/judge/")
	l.now = testStart.AddDate(1, 2, 0)
	l.person().get(fresh.url.Path).is(http.StatusGone).says("has expired")
}

// A look at an address is written where its host sees it, without the address.
func TestLooksAtAddressesAreShown(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	l.enter(slug, 1)
	host.get("/host/account").ok().hides("No. 1")
	host.post("/host/c/"+slug+"/entries/1/sender", nil).ok().says("entrant1@example.net")
	host.get("/host/account").ok().says("No. 1 – Stuffed leaves", "by Hanne Osei").hides("entrant1@example.net")
}

func TestServerPageSaysWhatNeedsSomebody(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	l.person().get("/host/server").says("Sign in")
	host.get("/host/server").ok().says("No copies are made by themselves", "No mail server is set up").hides("All is well.")
	copied := time.Now()
	l.config.Copies, l.config.CopiesEvery = func() (time.Time, error) { return copied, nil }, 24*time.Hour
	l.config.Mail = &outbox.Server{}
	l.site = web.New(l.db, l.config)
	host.get("/host/server").ok().says("All is well.")
	copied = copied.Add(-49 * time.Hour)
	host.get("/host/server").ok().says("The last copy is too old").hides("All is well.")
}
