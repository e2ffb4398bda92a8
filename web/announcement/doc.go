// Package announcement writes one text in three forms to take elsewhere:
// Markdown for a post, HTML for a newsletter, plain text for the description of
// a video. It decides nothing about what may be told: who builds a [Text] has
// asked for that. Start with Text.
package announcement
