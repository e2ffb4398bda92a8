// Package shortlist narrows the field: who reads which entry, and how readers'
// marks become a shortlist with reasons and with its uncertainty.
//
// It sees numbers of entries and readers, never a name or a text, and it
// decides nothing that its rule does not say: entries level at the cut are
// handed back where the rule leaves them to a draw.
//
// Start with cut.go. allocate.go shares the reading out; chance.go says how
// often each entry would make the cut; drift.go compares a reader with himself
// or herself.
package shortlist
