package web_test

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

func TestHostPlansRounds(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	plan := func() []challenge.Round {
		c, err := l.db.ChallengeBySlug(t.Context(), slug)
		require.NoError(t, err)
		return c.Rounds
	}
	path := "/host/c/" + slug + "/rounds"
	edit := host.get(path).ok().form("faces").set("method", "seeds").set("parties", "host, co-host, server").set("minutes", "30").set("title", "The draw").set("places", "3")
	edit.send().ok().says("Saved.")
	r := plan()[2]
	require.Equal(t, "The draw", r.Title)
	require.Equal(t, "seeds", r.Params.Method)
	require.Equal(t, []string{"host", "co-host", "server"}, r.Params.Parties)
	require.Equal(t, 3, r.Params.Places)
	refused := edit.set("parties", "host").send().is(http.StatusUnprocessableEntity).says("at least two parties")
	require.Equal(t, "host", refused.value("parties"), "what was typed is kept")
	require.Len(t, plan()[2].Params.Parties, 3)

	host.get(path).ok().form("kind").set("kind", "draw").send().ok().says("Saved.")
	require.Len(t, plan(), 7)
	require.Equal(t, challenge.Draw, plan()[6].Kind)
	host.post(path+"/7/earlier", nil).ok()
	require.Equal(t, challenge.Draw, plan()[5].Kind)
	host.post(path+"/6/remove", nil).ok()
	require.Len(t, plan(), 6)
	host.post(path, map[string][]string{"kind": {"feast"}}).is(http.StatusUnprocessableEntity)
}
