// Package outbox writes the messages that leave the server: their words from
// the catalogue, their form by RFC 5322, and how one is handed to a mail server.
// It knows no queue and no database; start with Write.
package outbox
