package web

import (
	"net/http"
	"strconv"

	"fairladle/web/text"
)

func itoa(n int) string { return strconv.Itoa(n) }

// sayings are what a page may say about the action that led to it; the address
// carries only the key.
var sayings = map[string]string{
	"saved":        "Saved.",
	"received":     "Your entry was received.",
	"announced":    "The challenge is public now. Share its address.",
	"opened":       "The round is open.",
	"closed":       "The round is closed and its outcome is recorded.",
	"created":      "The challenge is a draft now; nobody else can see it.",
	"removed":      "Removed.",
	"sealed":       "Sealed. Nobody can change it now, and nobody sees it until it is opened.",
	"planned":      "Saved, and planned again.",
	"amended":      "The sheet is amended. What it said before stays visible beside it.",
	"sheet-sealed": "Sealed. Nobody else sees it until the tasting is closed.",
	"recorded":     "Recorded.",
	"sent":         "If this address has sent an entry here, a message with its private link is on the way.",
	"offered":      "The prize is offered. The message about it is in the outbox, or on its way.",
	"prize-sent":   "Noted. The address is deleted.",
	"opened-vote":  "The vote on the theme is open. Share its address.",
	"mine-sent":    "A message with the link to all entries of this address is on the way to it.",
	"invited":      "Each of these addresses has a message with a private link in the outbox, unless it has voted.",
	"withdrawn":    "The entry is withdrawn.",
	"given":        "Each went to one more reader who may read it.",
	"declined":     "You do not judge this recipe any more.",
	"erased":       "Erased. Nothing of it can be brought back.",
	"renewed":      "This is your new private link. The old one has stopped working; keep this address.",
	"ended":        "Signed out there.",
	"password":     "Your password is changed, and you are signed out everywhere else.",
	"reset":        "Your password is changed. Sign in with it.",
	"released":     "Released. The messages are made when what they tell is public.",
	"taken-back":   "Taken back. Nobody was told.",
	"usual":        "The usual words are back.",
	"again":        "It is tried again.",
	"tie":          "The scores leave a tie that the rule settles by a draw. Roll below.",
}

// said is the sentence for what the last action did, or none.
func said(r *http.Request) string {
	s, ok := sayings[r.URL.Query().Get("said")]
	if !ok {
		return ""
	}
	return text.T(r.Context(), s)
}
