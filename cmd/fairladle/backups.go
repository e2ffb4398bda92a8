package main

import (
	"context"
	"log/slog"
	"time"

	"fairladle/store/backup"
)

// keepBackups copies the data folder again and again until ctx ends. When the
// newest copy is younger than the interval, as after a restart, the first one
// waits for what is left of it.
func keepBackups(ctx context.Context, c config, log *slog.Logger, w *watch) {
	for {
		last, err := backup.Newest(c.backups)
		if err != nil {
			log.Error("look for copies", "folder", c.backups, "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Until(last.Add(c.every))):
		}
		began := time.Now()
		r, err := backup.Rotate(ctx, c.data, c.backups, began, c.keep)
		switch {
		case ctx.Err() != nil:
			return
		case err != nil || len(r.Faults) > 0:
			w.failed.Inc()
			log.Error("the scheduled copy failed", "folder", c.backups, "faults", len(r.Faults), "error", err)
			// Not at once: the cause is likely still there.
			select {
			case <-ctx.Done():
				return
			case <-time.After(min(c.every, 10*time.Minute)):
			}
		default:
			w.backup.SetToCurrentTime()
			log.Info("copied and checked", "folder", c.backups, "entries", r.Entries, "ms", time.Since(began).Milliseconds())
		}
	}
}
