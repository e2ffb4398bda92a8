// Package wording carries sentences that the domain makes for people, so that
// a page can say them in its own language: the English sentence with its
// verbs, which is the catalogue's key, and what fills them.
//
// It knows no other language and no page. Start with [Of]; web/text speaks.
package wording
