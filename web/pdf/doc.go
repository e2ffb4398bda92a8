// Package pdf takes the text out of a PDF, line by line, as it stands on the
// pages. A scan holds none.
//
// The format is large and its files are strange, so Text turns a panic into an
// error, and servers call Apart: it reads in a process of its own, which is
// ended after ten seconds or when it needs too much memory. What the text says
// is not this package's matter.
//
// Start with Apart; lines.go makes lines of the letters on a page.
package pdf
