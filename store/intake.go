package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/intake"
)

// An Import is one file that was read, with what became of what was in it.
type Import struct {
	ID        int64
	Challenge int64
	Name      string
	State     string // reading, ready, creating
	CreatedAt time.Time
	Entries   int // by verdict, of those still to be decided on
	Doubtful  int
	Skipped   int
	Chosen    int // waiting to be made
	Made      int
	Failed    int
}

// Working says that entries are being made of it right now.
func (i Import) Working() bool { return i.Chosen > 0 }

// An ImportItem is one thing in an import, as its preview shows it. It has no
// field for a name or an address: who reads blind may look at it.
type ImportItem struct {
	Seq     int
	State   string // found, chosen, made, failed
	Verdict intake.Verdict
	Reasons []intake.Reason
	Copies  []Likeness
	Place   string
	Format  intake.Format
	Title   string // masked
	Text    string // masked
	Photo   bool
	More    int // pictures besides the first
	Number  int // of the entry it became
	Reached bool
}

// MayBecome says whether the host can still choose it.
func (i ImportItem) MayBecome() bool {
	return i.State == "found" && (i.Text != "" || i.Photo) && !slices.Contains(i.Reasons, intake.Known) && !slices.Contains(i.Reasons, intake.Again)
}

// A Likeness points at what an item is much like: an entry, or an earlier item
// of the same import.
type Likeness struct {
	Entry int     `json:"entry,omitempty"`
	Item  int     `json:"item,omitempty"`
	Like  float64 `json:"like"` // 0..1
}

const noImport = "There is no such import. It may have been put away."

// BeginImport starts the preview of a file. Nothing of it is an entry until
// ChooseImport says so.
func (db *DB) BeginImport(ctx context.Context, a challenge.Actor, challengeID int64, name string) (id int64, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return 0, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if err := c.MayBringIn(tx.now); err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, `INSERT INTO import (challenge_id, name, created_at) VALUES (?, ?, ?) RETURNING id`,
			challengeID, name, millis(tx.now)).Scan(&id)
	})
	return id, err
}

// Pieces of an import that go into one write.
const (
	pieceItems = 40
	pieceBytes = 4 << 20
)

// StageImport adds what comes out of a file to its preview, piece by piece.
func (db *DB) StageImport(ctx context.Context, id int64, raws func(yield func(intake.Raw) bool)) error {
	var key []byte
	if err := db.reads.QueryRowContext(ctx, `SELECT erasure_key FROM site`).Scan(&key); err != nil {
		return err
	}
	var piece []intake.Raw
	var err error
	size := 0
	raws(func(r intake.Raw) bool {
		piece = append(piece, r)
		size += len(r.Text)
		for _, p := range r.Photos {
			size += len(p.Data)
		}
		if len(piece) >= pieceItems || size >= pieceBytes {
			err = db.stage(ctx, id, key, piece)
			piece, size = nil, 0
		}
		return err == nil
	})
	if err == nil && len(piece) > 0 {
		err = db.stage(ctx, id, key, piece)
	}
	return err
}

func (db *DB) stage(ctx context.Context, id int64, key []byte, piece []intake.Raw) error {
	return db.write(ctx, func(tx *Tx) error {
		for _, r := range piece {
			if err := stageItem(ctx, tx, id, keyed(key, r.Key), r); err != nil {
				return fmt.Errorf("keep an item of import %d: %w", id, err)
			}
		}
		return nil
	})
}

// keyed hides what an item is known by: a message id can hold an address.
func keyed(key []byte, source string) []byte {
	h := hmac.New(sha256.New, key)
	h.Write([]byte("import\x00" + source))
	return h.Sum(nil)
}

func stageItem(ctx context.Context, tx *Tx, id int64, key []byte, r intake.Raw) error {
	var again, known bool
	err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM import_item WHERE import_id = ?1 AND key = ?2),
		EXISTS (SELECT 1 FROM imported WHERE key = ?2 AND (dish_id IS NULL OR challenge_id = (SELECT challenge_id FROM import WHERE id = ?1)))`,
		id, key).Scan(&again, &known)
	if err != nil {
		return err
	}
	email := r.From.Address
	addressKey, refused := challenge.AddressKey(email)
	erased := false
	if refused != nil {
		email = ""
	} else if erased, err = erasedBefore(ctx, tx, addressKey); err != nil {
		return err
	}
	switch {
	case erased:
		r, email, addressKey = leftOut(r, intake.Erased), "", ""
	case known:
		r = leftOut(r, intake.Known)
	case again:
		r = leftOut(r, intake.Again)
	case refused != nil && r.Verdict != intake.Skipped:
		r.Reasons = append(r.Reasons, intake.NoAddress)
	}
	var photo []byte
	if len(r.Photos) > 0 {
		photo = r.Photos[0].Data
	}
	var item int64
	if err := tx.QueryRowContext(ctx, `INSERT INTO import_item (import_id, seq, key, verdict, reasons, place, format, title, text, name, email, email_key, sent_at, photo)
		VALUES (?1, (SELECT COALESCE(max(seq), 0) + 1 FROM import_item WHERE import_id = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13) RETURNING id`,
		id, key, r.Verdict, jsonText(r.Reasons), r.Where, r.Format, r.Title, r.Text, r.From.Name, email, addressKey, millis(r.Date), photo).Scan(&item); err != nil {
		return err
	}
	for n := 1; n < len(r.Photos); n++ {
		if _, err := tx.ExecContext(ctx, `INSERT INTO import_picture (item_id, place, photo) VALUES (?, ?, ?)`, item, n, r.Photos[n].Data); err != nil {
			return err
		}
	}
	return nil
}

// leftOut keeps of an item only that it came and why it stays out.
func leftOut(r intake.Raw, why intake.Reason) intake.Raw {
	return intake.Raw{Where: r.Where, Format: r.Format, Verdict: intake.Skipped, Reasons: []intake.Reason{why}}
}

// Imports lists the imports of a challenge, newest first.
func (db *DB) Imports(ctx context.Context, a challenge.Actor, challengeID int64) ([]Import, error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return nil, err
	}
	return rows(ctx, db.reads, scanImport, importSelect+`WHERE import.challenge_id = ? GROUP BY import.id ORDER BY import.id DESC LIMIT 50`, challengeID)
}

const importSelect = `SELECT import.id, import.challenge_id, import.name, import.state, import.created_at,
	count(*) FILTER (WHERE item.state = 'found' AND item.verdict = 'entry'), count(*) FILTER (WHERE item.state = 'found' AND item.verdict = 'doubtful'),
	count(*) FILTER (WHERE item.state = 'found' AND item.verdict = 'skipped'), count(*) FILTER (WHERE item.state = 'chosen'),
	count(*) FILTER (WHERE item.state = 'made'), count(*) FILTER (WHERE item.state = 'failed')
	FROM import LEFT JOIN import_item item ON item.import_id = import.id `

func scanImport(r *sql.Rows) (i Import, err error) {
	var at int64
	err = r.Scan(&i.ID, &i.Challenge, &i.Name, &i.State, &at, &i.Entries, &i.Doubtful, &i.Skipped, &i.Chosen, &i.Made, &i.Failed)
	i.CreatedAt = moment(at)
	return i, err
}

// Import returns an import with everything in it.
func (db *DB) Import(ctx context.Context, a challenge.Actor, challengeID, id int64) (i Import, items []ImportItem, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return i, nil, err
	}
	err = db.read(ctx, func(q querier) error {
		if i, err = importByID(ctx, q, challengeID, id); err != nil {
			return err
		}
		items, err = rows(ctx, q, scanImportItem, `SELECT item.seq, item.state, item.verdict, item.reasons, item.copies, item.place, item.format, item.title,
			item.text, item.name, item.photo IS NOT NULL, (SELECT count(*) FROM import_picture WHERE item_id = item.id), item.email <> '', COALESCE(entry.number, 0)
			FROM import_item item LEFT JOIN entry ON entry.dish_id = item.dish_id WHERE item.import_id = ? ORDER BY item.seq`, id)
		return err
	})
	return i, items, err
}

func importByID(ctx context.Context, q querier, challengeID, id int64) (Import, error) {
	found, err := rows(ctx, q, scanImport, importSelect+`WHERE import.id = ? AND import.challenge_id = ? GROUP BY import.id`, id, challengeID)
	if err == nil && len(found) == 0 {
		err = challenge.NotFound(noImport)
	}
	if err != nil {
		return Import{}, err
	}
	return found[0], nil
}

func scanImportItem(r *sql.Rows) (i ImportItem, err error) {
	var reasons, copies, name string
	if err := r.Scan(&i.Seq, &i.State, &i.Verdict, &reasons, &copies, &i.Place, &i.Format, &i.Title, &i.Text, &name, &i.Photo, &i.More, &i.Reached, &i.Number); err != nil {
		return i, err
	}
	i.mask(name)
	if err := json.Unmarshal([]byte(reasons), &i.Reasons); err != nil {
		return i, err
	}
	return i, json.Unmarshal([]byte(copies), &i.Copies)
}
