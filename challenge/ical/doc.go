// Package ical writes the lines of a calendar file (RFC 5545): folded, escaped,
// in UTC. What the events are is the caller's business; start with Text.
package ical
