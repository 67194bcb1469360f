# SPDX-License-Identifier: GPL-3.0-or-later
# The figures that bench_agree compares, as one would write them in R: Rscript agree_peer.R FILE.csv [fread]
# With fread the file is read by data.table.
words <- commandArgs(trailingOnly = TRUE)
pairs <- if (length(words) > 1) data.table::fread(words[1], data.table = FALSE) else read.csv(words[1])
for (side in c("systolic", "diastolic")) {
  a <- pairs[[paste0("measurer_", side)]]
  b <- pairs[[paste0("listener_", side)]]
  d <- a - b
  n <- length(d)
  bias <- mean(d)
  sd_d <- sd(d)
  z <- qnorm(.975)
  rows <- var(a + b) / 2
  columns <- n * bias^2 / 2
  rest <- sd_d^2 / 2
  said <- c("bias" = bias, "sd" = sd_d, "lower" = bias - z * sd_d, "upper" = bias + z * sd_d,
            "icc-2-1" = (rows - rest) / (rows + rest + 2 * (columns - rest) / n))
  for (within in c(5, 10, 15)) said[paste0("near-", within)] <- mean(abs(d) <= within)
  even <- factor(a[a %% 2 == 0] %% 10, levels = c(0, 2, 4, 6, 8))
  said["digit-chi"] <- unname(chisq.test(table(even))$statistic)
  cat(sprintf("%s %s %.17g\n", side, names(said), said), sep = "")
}
