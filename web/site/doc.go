// Package site makes a static copy of what a challenge has published: files
// with relative links, for any web host or for reading from a disk. It asks the
// site itself, as a visitor without a link or a password would, so that nothing
// can be in the copy that is not public. Start with Collect.
package site
