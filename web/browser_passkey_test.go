package web_test

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// A token plugs a virtual authenticator into a visitor's browser, which
// answers without anybody's finger.
func (v *visitor) token() (override func(bogusSignature, unverified bool)) {
	v.t.Helper()
	_, err := chromedp.Call(v.ctx, webauthn.Enable, webauthn.EnableParams{})
	require.NoError(v.t, err)
	made, err := chromedp.Call(v.ctx, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
		Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
		HasResidentKey: true, HasUserVerification: true, AutomaticPresenceSimulation: true, IsUserVerified: true}})
	require.NoError(v.t, err)
	return func(bogusSignature, unverified bool) {
		_, err := chromedp.Call(v.ctx, webauthn.SetResponseOverrideBits, webauthn.SetResponseOverrideBitsParams{AuthenticatorID: made.AuthenticatorID,
			IsBogusSignature: &bogusSignature, IsBadUV: &unverified})
		require.NoError(v.t, err)
	}
}

// TestBrowserPasskey makes a passkey with a real browser and a virtual
// authenticator, signs in with it, and is refused with a wrong signature,
// without the person's finger, and after the passkey was removed.
func TestBrowserPasskey(t *testing.T) {
	s := newStage(t)
	s.server.URL = strings.Replace(s.server.URL, "127.0.0.1", "localhost", 1) // an address without a name has no passkeys
	s.setUp()
	h := s.visitor(1280)
	override := h.token()
	h.open("/login").write("email", "hanne@example.org").write("password", testPassword).leaves(func() { h.keys("\r") })
	h.open("/host/account").says("A passkey lets you sign in").look("account")
	h.write("passkey-name", "my phone").write("passkey-current", "not the password")
	h.click("Make a passkey").until("a refusal", `document.body.innerText.includes("No passkey was made")`)
	h.look("account-passkey-refused")
	h.write("passkey-current", testPassword)
	h.leaves(func() { h.click("Make a passkey") }).says("my phone", "A passkey was added", "not used yet").look("account-passkey")
	h.follow("Sign out").at("/login")
	require.True(t, h.at("/login"))

	h.look("login-passkey")
	signIn := func() {
		h.click("Sign in with a passkey")
		h.until("an answer", `location.pathname === "/host" || document.body.innerText.includes("That did not work")`)
	}
	for _, wrong := range []struct{ signature, unverified bool }{{true, false}, {false, true}} {
		override(wrong.signature, wrong.unverified)
		h.open("/login")
		signIn()
		require.True(t, h.at("/login"), "%+v", wrong)
	}
	override(false, false)
	h.open("/login")
	signIn()
	h.says("What needs you now").open("/host/account").says("last used")
	h.follow("Remove my phone").says("A passkey was removed")
	h.follow("Sign out")
	signIn()
	require.True(t, h.at("/login"))
	require.Empty(t, s.noise)
}
