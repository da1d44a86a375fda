// Package baseline is what benchmarks measure against: small programs in C that do the bare minimum of a job, run in turn
// with ours on the same machine in the same minute. Only tests import it. Where there is no C compiler, or the
// system is not Linux, the benchmark is skipped and says why.
package baseline
