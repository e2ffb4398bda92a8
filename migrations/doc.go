// Package migrations holds the schema: numbered SQL files, applied in order,
// forward only. An applied file is never edited; its checksum is kept in the
// database and compared at every start.
package migrations

import "embed"

// Files are the migrations by name, NNNN_name.sql.
//
//go:embed *.sql
var Files embed.FS
