// Package outbox writes the messages that leave the server: their words from
// the catalogue, their form by RFC 5322. It sends nothing by itself and knows
// no database; start with Write.
package outbox
