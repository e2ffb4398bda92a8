package views

import "context"

func (p OutboxPage) lead(ctx context.Context) string {
	if p.ByMail {
		return t(ctx, "Messages leave by themselves through the mail server. Here is what waits, and what it refused.")
	}
	return t(ctx, "No mail server is set up, so messages wait here until you send them yourself.")
}

// failed says why a message could not be delivered; why is a reply code of
// SMTP (RFC 5321, 4.2), or a word of the package that sends.
func failed(ctx context.Context, why string) string {
	switch {
	case why == "":
		return t(ctx, "It was not tried yet.")
	case why == "unreachable":
		return t(ctx, "The mail server could not be reached.")
	case why == "550", why == "551", why == "553":
		return t(ctx, "The mail server does not know this address (%v). Check it with the person.", why)
	case why == "552", why == "452":
		return t(ctx, "The mailbox is full (%v).", why)
	case why == "535", why == "530":
		return t(ctx, "The mail server did not accept our password (%v). Tell whoever runs this server.", why)
	case why[0] == '4':
		return t(ctx, "The mail server asked to try later (%v).", why)
	case why[0] == '5':
		return t(ctx, "The mail server refused it (%v).", why)
	}
	return t(ctx, "It could not be sent.")
}
