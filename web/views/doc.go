// Package views holds the pages: one template and one struct for each. A page
// shows what its struct holds and computes nothing that a test would want.
//
// Structs of blind pages have no field for a name or an address. Every word
// goes through package text; start with frame.templ, which is around them all.
package views
