/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_bare.c  The few figures that bench_agree compares, by one loop over the mapped file: as little
 * as anything can do for them. It takes whole numbers in the columns as the bench writes them, and checks
 * nothing. */
#include <fcntl.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/stat.h>

enum { SIDES = 2, NEARS = 3 };

struct sums {
    int64_t n, a, b, aa, bb, ab, near[NEARS], even[5];
};

static const int NEAR_MMHG[NEARS] = {5, 10, 15};

static const char *skip_cell(const char *p)
{
    while (*p++ != ',')
        ;
    return p;
}

static const char *take_number(const char *p, int64_t *out)
{
    int64_t value = 0;
    while (*p >= '0')
        value = 10 * value + (*p++ - '0');
    *out = value;
    return p + 1;
}

static void add(struct sums *s, int64_t a, int64_t b)
{
    const int64_t off = a < b ? b - a : a - b;
    s->n++;
    s->a += a;
    s->b += b;
    s->aa += a * a;
    s->bb += b * b;
    s->ab += a * b;
    for (int i = 0; i < NEARS; i++)
        s->near[i] += off <= NEAR_MMHG[i];
    if (a % 2 == 0)
        s->even[a % 10 / 2]++;
}

static void print_side(const char *side, const struct sums *s)
{
    const double n = (double)s->n, mean_a = (double)s->a / n, mean_b = (double)s->b / n,
                 bias = mean_a - mean_b;
    const double var_a = ((double)s->aa - mean_a * (double)s->a) / (n - 1),
                 var_b = ((double)s->bb - mean_b * (double)s->b) / (n - 1);
    const double cov = ((double)s->ab - mean_a * (double)s->b) / (n - 1), var_d = var_a + var_b - 2 * cov,
                 sd = sqrt(var_d);
    const double rows = (var_a + var_b + 2 * cov) / 2, columns = n * bias * bias / 2, rest = var_d / 2;
    const double z = 1.959963984540054;
    double even = 0, chi = 0;
    printf("%s bias %.17g\n%s sd %.17g\n%s lower %.17g\n%s upper %.17g\n", side, bias, side, sd, side,
           bias - z * sd, side, bias + z * sd);
    printf("%s icc-2-1 %.17g\n", side, (rows - rest) / (rows + rest + 2 * (columns - rest) / n));
    for (int i = 0; i < NEARS; i++)
        printf("%s near-%d %.17g\n", side, NEAR_MMHG[i], (double)s->near[i] / n);
    for (int i = 0; i < 5; i++)
        even += (double)s->even[i];
    for (int i = 0; i < 5; i++)
        chi += ((double)s->even[i] - even / 5) * ((double)s->even[i] - even / 5) / (even / 5);
    printf("%s digit-chi %.17g\n", side, chi);
}

int main(int argc, char **argv)
{
    static struct sums side[SIDES];
    struct stat about;
    const int fd = argc == 2 ? open(argv[1], O_RDONLY) : -1;
    if (fd < 0 || fstat(fd, &about) != 0)
        return EXIT_FAILURE;
    const char *p = mmap(NULL, (size_t)about.st_size, PROT_READ, MAP_PRIVATE, fd, 0),
               *end = p + about.st_size;
    if (p == MAP_FAILED)
        return EXIT_FAILURE;
    while (*p++ != '\n') /* the header */
        ;
    while (p < end) {
        int64_t value[2 * SIDES];
        p = skip_cell(skip_cell(p));
        for (int i = 0; i < 2 * SIDES; i++)
            p = take_number(p, &value[i]);
        for (int i = 0; i < SIDES; i++)
            add(&side[i], value[i], value[SIDES + i]);
    }
    print_side("systolic", &side[0]);
    print_side("diastolic", &side[1]);
    return EXIT_SUCCESS;
}
