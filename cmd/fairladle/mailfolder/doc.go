// Package mailfolder fetches the mails of one folder of a mail server (IMAP,
// RFC 9051), for recipes that wait in a mailbox.
//
// It only ever looks: the folder is opened with EXAMINE and mails are fetched
// with BODY.PEEK, so that nothing is changed, not even the mark that a mail was
// read. It speaks to the server through TLS, and without it only to this very
// machine. It must not know what a mail holds nor keep anything.
//
// Start with Parse and Fetch.
package mailfolder
