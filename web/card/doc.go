// Package card draws the picture that stands for a page where its address is
// shared: its words in the site's own type, beside the thread of the run. It
// decides nothing about what may be shown; the caller gives it words that are
// public already. Start with Draw.
package card
