// Package worker lets an [net/http.Handler] answer in a worker of a browser: requests come as calls from the
// worker's script (assets/worker.js beside this package), and projects are kept by the page (assets/shelf.js).
package worker
