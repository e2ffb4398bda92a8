// Package text is the catalogue of every word people see on pages and in
// messages, and the one place where dates, numbers and counts are written.
//
// The key of a text is the English sentence itself, so that a template reads
// as the page does. Other languages are tables from that sentence to another,
// in golang.org/x/text/message form. Start with [For] and [T].
package text
