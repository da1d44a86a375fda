/* A frame clock of 44 Hz and nothing else: "clock FRAMES" says how it is scheduled, then for each
 * frame that was not missed how many nanoseconds late it began. */
#define _GNU_SOURCE
#include <errno.h>
#include <sched.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { RATE = 44, PRIORITY = 50 };
#define SECOND 1000000000LL

static long long offset(long long k) { return k / RATE * SECOND + k % RATE * SECOND / RATE; }

static long long now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * SECOND + t.tv_nsec;
}

int main(int argc, char **argv) {
	long long frames = argc > 1 ? atoll(argv[1]) : 0, count = 0;
	long long *late = calloc(frames + 1, sizeof *late);
	struct sched_param p = {.sched_priority = PRIORITY};
	int fifo = sched_setscheduler(0, SCHED_FIFO, &p) == 0;
	long long start = now();
	for (long long k = 1; k <= frames; k++) {
		long long due = start + offset(k);
		struct timespec t = {due / SECOND, due % SECOND};
		while (clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &t, NULL) == EINTR) {
		}
		long long at = now();
		late[count++] = at - due;
		while (start + offset(k + 1) <= at) k++;
	}
	puts(fifo ? "fifo" : "plain");
	for (long long i = 0; i < count; i++) printf("%lld\n", late[i]);
}
