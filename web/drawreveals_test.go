package web_test

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Reveals before the list is fixed, twice, in another order, and too late,
// each sent to the page's own address.
func TestRevealsOutOfTurn(t *testing.T) {
	d := newSeedDraw(t)
	hostNonce, cohostNonce := d.sealBoth()
	opening := func(party, nonce, secret, n string) url.Values {
		return url.Values{"party": {party}, "nonce": {nonce}, "secret": {secret}, "n": {n}}
	}
	d.host.post(d.desk()+"/reveal", opening("host", hostNonce, hostSecret, "4")).is(http.StatusConflict).says("list has to be fixed first")
	d.host.post(d.desk()+"/server", nil).is(http.StatusConflict)
	require.Len(t, d.state().Events, 3)
	d.host.get(d.desk()).ok().button("Fix the list").send().ok()

	d.host.post(d.desk()+"/server", nil).ok() // the last to seal here is the first to open
	d.cohost.post(d.with+"/draw/3/reveal", opening("co-host", cohostNonce, cohostSecret, "5")).ok()
	d.cohost.post(d.with+"/draw/3/reveal", opening("co-host", cohostNonce, cohostSecret, "5")).ok()
	d.cohost.post(d.with+"/draw/3/reveal", opening("co-host", cohostNonce, cohostSecret, "6")).is(http.StatusConflict).says("already")
	require.Len(t, d.state().Events, 5, "opened twice it is one event")
	require.Empty(t, d.state().State.Result)

	d.now = d.now.Add(61 * time.Minute)
	d.restart()
	d.host.post(d.desk()+"/reveal", opening("host", hostNonce, hostSecret, "6")).is(http.StatusConflict).says("had to be opened by")
	require.Len(t, d.state().Events, 5)
	require.Empty(t, d.state().State.Result, "nothing was drawn without the missing secret")
	d.host.get(d.desk()).ok().says("A secret is missing, and the time for it is over")
}
