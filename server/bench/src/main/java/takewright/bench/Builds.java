package takewright.bench;

import com.sun.management.GarbageCollectionNotificationInfo;
import com.sun.management.OperatingSystemMXBean;
import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.GarbageCollectorMXBean;
import java.lang.management.ManagementFactory;
import java.lang.management.MemoryUsage;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.Arrays;
import java.util.Map;
import java.util.concurrent.atomic.AtomicLong;
import java.util.stream.Stream;
import javax.management.NotificationEmitter;
import javax.management.openmbean.CompositeData;
import takewright.library.BuildOrder;
import takewright.report.PageSource;
import takewright.report.ReportedBuild;

/**
 * The whole build with its page, again and again in one process: what a caller of a running service
 * waits for. Pictures are drawn afterwards, as the service does.
 */
final class Builds {
  /** Builds before those that count: the JIT has seen everything then. */
  private static final int WARM_UP = 2;

  private static final int RUNS = 3;

  private Builds() {}

  /**
   * What a build took in a warm process.
   *
   * @param wallS seconds on the clock, the median
   * @param cpuS processor time, the median
   * @param allocated bytes a build; NaN if the collector never ran
   * @param samples files made
   */
  record Took(double wallS, double cpuS, double allocated, int samples) {
    static Took read(String line) {
      String[] c = line.strip().split("\t");
      return new Took(
          Double.parseDouble(c[0]),
          Double.parseDouble(c[1]),
          Double.parseDouble(c[2]),
          Integer.parseInt(c[3]));
    }
  }

  static void measure(Path sheet, Path folder, PrintStream out) throws IOException {
    OperatingSystemMXBean system =
        (OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();
    double[] wall = new double[RUNS];
    double[] cpu = new double[RUNS];
    AtomicLong allocated = countAllocation();
    long allocatedBefore = 0;
    int samples = 0;
    for (int run = -WARM_UP; run < RUNS; run++) {
      Path target = folder.resolve("library");
      Takes.delete(target);
      if (run == 0) {
        System.gc();
        allocatedBefore = allocated.get();
      }
      touchTakes(sheet);
      PageSource[] page = new PageSource[1];
      long start = System.nanoTime();
      long cpuStart = system.getProcessCpuTime();
      samples =
          ReportedBuild.runUndrawn(
                  BuildOrder.of(sheet, target),
                  progress -> {},
                  () -> false,
                  false,
                  served -> page[0] = served)
              .samples();
      if (run >= 0) {
        wall[run] = (System.nanoTime() - start) / 1e9;
        cpu[run] = (system.getProcessCpuTime() - cpuStart) / 1e9;
      }
      page[0].draw(progress -> {}, () -> false);
    }
    System.gc();
    double bytes = (double) (allocated.get() - allocatedBefore) / RUNS;
    Takes.delete(folder.resolve("library"));
    Arrays.sort(wall);
    Arrays.sort(cpu);
    out.println(wall[RUNS / 2] + "\t" + cpu[RUNS / 2] + "\t" + bytes + "\t" + samples);
  }

  /** A process remembers what it heard in a take: of another time, it is heard anew. */
  private static void touchTakes(Path sheet) throws IOException {
    FileTime now = FileTime.fromMillis(System.currentTimeMillis());
    try (Stream<Path> files = Files.list(sheet.toAbsolutePath().getParent())) {
      for (Path take : files.filter(file -> file.toString().endsWith(".wav")).toList()) {
        Files.setLastModifiedTime(take, now);
      }
    }
  }

  /**
   * Sums what the heap has grown by between collections, of all threads, whether they live or not.
   */
  private static AtomicLong countAllocation() {
    AtomicLong sum = new AtomicLong();
    AtomicLong left = new AtomicLong();
    for (GarbageCollectorMXBean collector : ManagementFactory.getGarbageCollectorMXBeans()) {
      ((NotificationEmitter) collector)
          .addNotificationListener(
              (notification, nothing) -> {
                if (notification
                    .getType()
                    .equals(GarbageCollectionNotificationInfo.GARBAGE_COLLECTION_NOTIFICATION)) {
                  var info =
                      GarbageCollectionNotificationInfo.from(
                          (CompositeData) notification.getUserData());
                  long before = used(info.getGcInfo().getMemoryUsageBeforeGc());
                  sum.addAndGet(before - left.get());
                  left.set(used(info.getGcInfo().getMemoryUsageAfterGc()));
                }
              },
              null,
              null);
    }
    return sum;
  }

  /** Of the heap: the other pools are named after code and classes. */
  private static long used(Map<String, MemoryUsage> pools) {
    long used = 0;
    for (var pool : pools.entrySet()) {
      String name = pool.getKey();
      if (name.contains("Eden") || name.contains("Survivor") || name.contains("Old")) {
        used += pool.getValue().getUsed();
      }
    }
    return used;
  }
}
