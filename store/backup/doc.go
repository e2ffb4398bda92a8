// Package backup copies a data folder's database while it is in use, checks a
// copy, and puts one back. It never writes over a file that is there; a check
// brings an older copy's schema up to date, as the program that opens it would.
// Start with Copy.
package backup
