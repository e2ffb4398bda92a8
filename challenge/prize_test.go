package challenge_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

func TestPrizeCheck(t *testing.T) {
	good := challenge.Prize{What: "A bread knife", Turn: challenge.ByDraw, Days: 7}
	require.NoError(t, good.Check())
	for _, bad := range []challenge.Prize{{Turn: challenge.ByDraw, Days: 7}, {What: "A knife", Turn: "any", Days: 7}, {What: "A knife", Turn: challenge.ByFinal}, {What: strings.Repeat("k", 301), Turn: challenge.ByDraw, Days: 7}} {
		require.Error(t, bad.Check())
	}
	require.Error(t, challenge.CheckPostal("  here  "))
	require.NoError(t, challenge.CheckPostal("Kay Quince\n1 Mill Lane\nLisbon"))
}

func TestAnOfferLapsesOnlyOnceItWasTold(t *testing.T) {
	at := time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC)
	o := challenge.Offer{OfferedAt: at, DueAt: at.AddDate(0, 0, 7)}
	require.Equal(t, challenge.Offered, o.State(at.AddDate(0, 1, 0)), "a message that waits costs nobody a prize")
	o.ToldAt = at
	require.Equal(t, challenge.Offered, o.State(o.DueAt.Add(-time.Second)))
	require.Equal(t, challenge.Lapsed, o.State(o.DueAt))
	o.ToldAt = at.AddDate(0, 0, 6)
	require.Equal(t, challenge.Offered, o.State(o.DueAt), "told late, it stands three days from then")
	require.Equal(t, challenge.Lapsed, o.State(at.AddDate(0, 0, 9)))
	o.Answer = "accepted"
	require.Equal(t, challenge.Accepted, o.State(at.AddDate(1, 0, 0)))
	o.SentAt = at.AddDate(0, 0, 20)
	require.Equal(t, challenge.Sent, o.State(at.AddDate(1, 0, 0)))
}
