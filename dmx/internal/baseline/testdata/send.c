/* Sends ready packets by sendmmsg and nothing else: "send SIZE PACKETS ADDRESS:PORT..." reads a number of frames, sends that
 * many, each PACKETS packets dealt out evenly in runs to the addresses, says how many nanoseconds it took, and so on until
 * its input ends. One socket, not connected, and calls of 64, whichever addresses they go to. */
#define _GNU_SOURCE
#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>

enum { BATCH = 64 };

static void fail(const char *what) {
	perror(what);
	exit(1);
}

static long long now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * 1000000000LL + t.tv_nsec;
}

int main(int argc, char **argv) {
	if (argc < 4) return 2;
	int size = atoi(argv[1]), n = atoi(argv[2]), addresses = argc - 3;
	struct sockaddr_in *to = calloc(addresses, sizeof *to);
	for (int i = 0; i < addresses; i++) {
		char *port = strchr(argv[3 + i], ':');
		if (!port) return 2;
		*port = 0;
		to[i].sin_family = AF_INET;
		to[i].sin_port = htons(atoi(port + 1));
		if (inet_pton(AF_INET, argv[3 + i], &to[i].sin_addr) != 1) return 2;
	}
	unsigned char *bytes = calloc(n, size);
	struct iovec *part = calloc(n, sizeof *part);
	struct mmsghdr *msg = calloc(n, sizeof *msg);
	for (int i = 0; i < n; i++) {
		part[i].iov_base = bytes + (size_t)i * size;
		part[i].iov_len = size;
		msg[i].msg_hdr.msg_iov = &part[i];
		msg[i].msg_hdr.msg_iovlen = 1;
		msg[i].msg_hdr.msg_name = &to[(long long)i * addresses / n];
		msg[i].msg_hdr.msg_namelen = sizeof *to;
	}
	int fd = socket(AF_INET, SOCK_DGRAM, 0);
	if (fd < 0) fail("socket");
	long frames;
	while (scanf("%ld", &frames) == 1) {
		long long start = now();
		for (long f = 0; f < frames; f++) {
			for (int i = 0; i < n;) {
				int sent = sendmmsg(fd, msg + i, n - i < BATCH ? n - i : BATCH, 0);
				if (sent < 1) fail("sendmmsg");
				i += sent;
			}
		}
		printf("%lld\n", now() - start);
		fflush(stdout);
	}
	return 0;
}
