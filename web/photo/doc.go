// Package photo makes a stranger's picture harmless before it is stored: it
// decodes JPEG, PNG, GIF (first frame) and WebP (first frame), turns the
// picture upright, shrinks it, and encodes a new JPEG that holds pixels and
// nothing else. No place, camera, comment or script of the original survives,
// because no byte of the original is copied.
//
// It must not keep originals, start other programs or write files. It bounds
// bytes, pixels, memory and time: sizes are read from the header before a
// decoder runs, and a decoder that takes too long is cut off.
//
// The decoders are those of the standard library and golang.org/x/image/webp.
// A full imaging library would add colour management and many formats, but
// also decoders and external programs that strangers could reach; what is
// missing here (finding the orientation, averaging pixels) is about 200 lines.
// The price: an embedded colour profile is dropped, so a wide-gamut photo may
// look slightly paler.
//
// Start with Cleaner.Clean in photo.go; refusal.go lists what can be refused
// and what the sender is told.
package photo
