package intake

// Bounds of one import. They are generous for people and small for machines.
const (
	MaxText    = 200_000   // bytes of one recipe, as for entries typed in
	maxPage    = 4 << 20   // bytes of one web page, document part or JSON file
	MaxMail    = 40 << 20  // bytes of one mail
	maxPhoto   = 12 << 20  // bytes of one picture
	maxPhotos  = 6         // pictures of one mail or document
	maxTotal   = 256 << 20 // bytes that come out of archives altogether
	maxRaws    = 5_000     // things that come out of one file
	maxFiles   = 5_000     // files in one archive
	maxArchive = 2         // archives within each other
	maxInner   = 3         // mails attached to mails
	maxRows    = 5_000     // rows of a table
	maxParts   = 2_000     // parts of one mail
	maxLevels  = 60        // multipart parts of one mail, and so how deep they nest
	maxOpen    = 400       // elements of a page that lie within each other
	maxHeaders = 256 << 10 // bytes of one mail's header
	maxColumns = 200       // columns of a table that are looked at
	maxName    = 200       // bytes of a file name that are kept
)
