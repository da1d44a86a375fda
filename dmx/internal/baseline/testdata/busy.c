/* Keeps a core busy for as long as whoever started it lives. */
#include <signal.h>
#include <sys/prctl.h>

int main(void) {
	prctl(PR_SET_PDEATHSIG, SIGKILL);
	for (volatile unsigned long n = 0;; n++) {
	}
}
