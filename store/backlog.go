package store

import "context"

// A Backlog is how much waits to be done.
type Backlog struct {
	JobsWaiting, JobsFailed, MailsWaiting, MailsFailed, Challenges, Entries int
	Bytes                                                                   int64 // of the database file
}

// Backlog counts what waits.
func (db *DB) Backlog(ctx context.Context) (b Backlog, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT
		(SELECT count(*) FROM job WHERE state = 'waiting'), (SELECT count(*) FROM job WHERE state = 'failed'),
		(SELECT count(*) FROM message WHERE state = 'waiting'), (SELECT count(*) FROM message WHERE state = 'failed'),
		(SELECT count(*) FROM challenge), (SELECT COALESCE(sum(entries), 0) FROM challenge),
		(SELECT page_count * page_size FROM pragma_page_count, pragma_page_size)`).
		Scan(&b.JobsWaiting, &b.JobsFailed, &b.MailsWaiting, &b.MailsFailed, &b.Challenges, &b.Entries, &b.Bytes)
	return b, err
}
