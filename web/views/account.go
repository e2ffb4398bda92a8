package views

import (
	"context"

	"fairladle/store"
)

var accountSaid = map[store.AccountEvent]string{
	store.SignedIn:        "Signed in.",
	store.SignInGuessed:   "So many wrong passwords were given that further ones had to wait.",
	store.SessionEnded:    "Signed out elsewhere.",
	store.PasswordChanged: "The password was changed.",
	store.PasskeyAdded:    "A passkey was added.",
	store.PasskeyRemoved:  "A passkey was removed.",
	store.ResetLinkMade:   "A link for a new password was made on the server’s command line.",
	store.AccountReset:    "A new password was chosen by such a link; passkeys were removed.",
	store.AccountMade:     "The account was made on the server’s command line.",
	store.AddressMoved:    "The site’s public address was changed on the server’s command line.",
}

// device is what a browser calls itself, or that it does not say.
func device(ctx context.Context, name string) string {
	if name == "" {
		return t(ctx, "A browser that does not say which")
	}
	return name
}
