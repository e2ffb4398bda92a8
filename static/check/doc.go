// Package check holds the scripts of the page on which a visitor's browser does
// a draw again: no server is asked, and the same files serve a static export
// opened from a disk. They share no code with package draw; both follow its
// RECORD.md, and tests hold them against each other. Start with check.js.
package check

import "embed"

// Scripts names the files in the order in which a page loads them, as classic
// scripts at its end.
var Scripts = []string{"hash.js", "record.js", "draw.js", "check.js"}

// Files holds the scripts.
//
//go:embed *.js
var Files embed.FS
