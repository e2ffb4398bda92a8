package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"fairladle/challenge"
	"fairladle/challenge/intake"
	"fairladle/cmd/fairladle/mailfolder"
	"fairladle/store"
)

// maxFolder is how many mails of a folder one import looks at.
const maxFolder = 5000

// folderOf reads --imap and the password, which has no place on a command line.
func folderOf(address string) (*mailfolder.Account, error) {
	a, err := mailfolder.Parse(address)
	if err != nil {
		return nil, fmt.Errorf("--imap: %w", err)
	}
	if a.Password = os.Getenv("FAIRLADLE_IMAP_PASSWORD"); a.Password == "" {
		return nil, errors.New("give the password of " + a.String() + " in FAIRLADLE_IMAP_PASSWORD")
	}
	return &a, nil
}

// stageFolder reads the mails of a folder into a preview.
func (i importing) stageFolder(out io.Writer) func(context.Context, *store.DB, challenge.Actor, int64) (int64, error) {
	return func(ctx context.Context, db *store.DB, host challenge.Actor, challengeID int64) (int64, error) {
		id, err := db.BeginImport(ctx, host, challengeID, i.folder.Folder)
		if err != nil {
			return 0, err
		}
		total := 0
		var fetched error
		err = db.StageImport(ctx, id, func(yield func(intake.Raw) bool) {
			o := mailfolder.Options{Since: i.since, MaxMail: intake.MaxMail, MaxMails: maxFolder}
			total, fetched = mailfolder.Fetch(ctx, *i.folder, o, func(m mailfolder.Mail) bool { return i.mail(ctx, m, yield) })
		})
		if err = errors.Join(fetched, err); err != nil {
			return 0, errors.Join(err, db.DiscardImport(ctx, host, challengeID, id))
		}
		if total > maxFolder {
			fmt.Fprintf(out, "The folder holds %d mails; the oldest %d were looked at. --since leaves older ones out.\n", total, maxFolder)
		}
		return id, db.ReadyImport(ctx, host, challengeID, id)
	}
}

func (i importing) mail(ctx context.Context, m mailfolder.Mail, yield func(intake.Raw) bool) bool {
	where := fmt.Sprintf("%s, mail %d", i.folder.Folder, m.UID)
	if m.Data == nil {
		return yield(intake.TooLargeMail(where))
	}
	for r := range intake.AllMail(where, m.Data, i.options(ctx)) {
		if !yield(r) {
			return false
		}
	}
	return true
}
