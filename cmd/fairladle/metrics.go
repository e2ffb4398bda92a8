package main

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"fairladle/web"
)

// A watch measures the server for Prometheus. Labels are route patterns,
// methods and status classes: nothing a visitor typed, and nothing of anybody.
type watch struct {
	registry *prometheus.Registry
	took     *prometheus.HistogramVec
	bytes    *prometheus.CounterVec
	backup   prometheus.Gauge
	failed   prometheus.Counter
}

func newWatch() *watch {
	w := &watch{
		registry: prometheus.NewRegistry(),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "fairladle_request_seconds", Help: "Time to answer, by route pattern.",
			Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 10}}, []string{"method", "route", "status"}),
		bytes:  prometheus.NewCounterVec(prometheus.CounterOpts{Name: "fairladle_response_bytes_total", Help: "Bytes of bodies sent."}, []string{"route"}),
		backup: prometheus.NewGauge(prometheus.GaugeOpts{Name: "fairladle_backup_last_success_timestamp_seconds", Help: "When the last scheduled copy was made and checked; 0 for never since the start."}),
		failed: prometheus.NewCounter(prometheus.CounterOpts{Name: "fairladle_backup_failures_total", Help: "Scheduled copies that failed."}),
	}
	w.registry.MustRegister(w.took, w.bytes, w.backup, w.failed, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return w
}

func (w *watch) observe(a web.Answer) {
	w.took.WithLabelValues(a.Method, a.Route, strconv.Itoa(a.Status/100)+"xx").Observe(a.Took.Seconds())
	w.bytes.WithLabelValues(a.Route).Add(float64(a.Bytes))
}

// A backlog asks the site, each time it is watched, how much waits.
type backlog struct{ site *web.Server }

var waits = map[string]*prometheus.Desc{
	"jobs waiting":  prometheus.NewDesc("fairladle_jobs_waiting", "Jobs that wait.", nil, nil),
	"jobs failed":   prometheus.NewDesc("fairladle_jobs_failed", "Jobs that were given up.", nil, nil),
	"mails waiting": prometheus.NewDesc("fairladle_mails_waiting", "Messages in the outbox.", nil, nil),
	"mails failed":  prometheus.NewDesc("fairladle_mails_failed", "Messages that were given up.", nil, nil),
	"challenges":    prometheus.NewDesc("fairladle_challenges", "Challenges, drafts included.", nil, nil),
	"entries":       prometheus.NewDesc("fairladle_entries", "Entries that take part.", nil, nil),
	"bytes":         prometheus.NewDesc("fairladle_database_bytes", "Size of the database.", nil, nil),
}

func (b backlog) Describe(ch chan<- *prometheus.Desc) {
	for _, d := range waits {
		ch <- d
	}
}

func (b backlog) Collect(ch chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	x, err := b.site.Backlog(ctx)
	if err != nil {
		return // the gap shows that the database does not answer
	}
	for name, v := range map[string]float64{"jobs waiting": float64(x.JobsWaiting), "jobs failed": float64(x.JobsFailed),
		"mails waiting": float64(x.MailsWaiting), "mails failed": float64(x.MailsFailed), "challenges": float64(x.Challenges),
		"entries": float64(x.Entries), "bytes": float64(x.Bytes)} {
		ch <- prometheus.MustNewConstMetric(waits[name], prometheus.GaugeValue, v)
	}
}

// handler serves the status address: metrics, and the two questions of health
// that the site itself answers as well.
func (w *watch) handler(site http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(w.registry, promhttp.HandlerOpts{}))
	mux.Handle("GET /healthz", site)
	mux.Handle("GET /readyz", site)
	return mux
}
