package intake

import (
	"strings"

	"github.com/jhillyerd/enmime/v2"
)

// automatic tells mails that programs send: reports of a mail server (RFC
// 3464), receipts (RFC 8098), and automatic replies (RFC 3834).
func automatic(e *enmime.Envelope) Reason {
	kind := strings.ToLower(e.GetHeader("Content-Type"))
	switch {
	case strings.Contains(kind, "disposition-notification"):
		return Receipt
	case strings.HasPrefix(kind, "multipart/report"), strings.HasPrefix(kind, "message/delivery-status"), e.GetHeader("X-Failed-Recipients") != "":
		return Bounce
	}
	from := strings.ToLower(e.GetHeader("From"))
	if strings.Contains(from, "mailer-daemon") || strings.Contains(from, "mail delivery s") {
		return Bounce
	}
	subject := strings.ToLower(strings.TrimSpace(e.GetHeader("Subject")))
	for _, words := range []string{"delivery status notification", "undeliverable", "undelivered mail", "mail delivery failed", "returned mail:",
		"delivery failure", "failure notice"} {
		if strings.HasPrefix(subject, words) {
			return Bounce
		}
	}
	if auto := strings.ToLower(strings.TrimSpace(e.GetHeader("Auto-Submitted"))); auto != "" && auto != "no" {
		return AutoReply
	}
	if e.GetHeader("X-Autoreply") != "" || e.GetHeader("X-Autorespond") != "" || strings.EqualFold(e.GetHeader("Precedence"), "auto_reply") {
		return AutoReply
	}
	for _, words := range []string{"automatic reply", "auto-reply", "autoreply", "auto reply", "out of office", "out of the office", "autosvar",
		"automatische antwort", "abwesenheitsnotiz", "réponse automatique", "respuesta automática"} {
		if strings.HasPrefix(subject, words) {
			return AutoReply
		}
	}
	return ""
}
