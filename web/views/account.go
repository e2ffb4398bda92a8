package views

import (
	"context"

	"fairladle/challenge/wording"
	"fairladle/store"
)

var accountSaid = map[store.AccountEvent]string{
	store.SignedIn:        wording.Key("Signed in."),
	store.SignInGuessed:   wording.Key("So many wrong passwords were given that further ones had to wait."),
	store.SessionEnded:    wording.Key("Signed out elsewhere."),
	store.PasswordChanged: wording.Key("The password was changed."),
	store.PasskeyAdded:    wording.Key("A passkey was added."),
	store.PasskeyRemoved:  wording.Key("A passkey was removed."),
	store.ResetLinkMade:   wording.Key("A link for a new password was made on the server’s command line."),
	store.AccountReset:    wording.Key("A new password was chosen by such a link; passkeys were removed."),
	store.AccountMade:     wording.Key("The account was made on the server’s command line."),
	store.AddressMoved:    wording.Key("The site’s public address was changed on the server’s command line."),
}

// device is what a browser calls itself, or that it does not say.
func device(ctx context.Context, name string) string {
	if name == "" {
		return t(ctx, "A browser that does not say which")
	}
	return name
}
