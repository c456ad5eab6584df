package takewright.library.folder;

import java.io.Closeable;
import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.HashSet;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.concurrent.TimeUnit;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;

/** Keeps a second build out of a folder; the system releases it when the process ends. */
final class FolderLock implements Closeable {
  /**
   * The locked files of this process. They are not opened a second time: on POSIX systems closing
   * any channel to a file ends all of the process's locks on it.
   */
  private static final Set<Path> HELD = new HashSet<>();

  private static final long AGAIN_MS = 50;

  private final Path file;
  private final FileChannel channel;
  private final FileLock lock;

  private FolderLock(Path file, FileChannel channel, FileLock lock) {
    this.file = file;
    this.channel = channel;
    this.lock = lock;
  }

  /** Takes the lock once nobody has it, if that is within some seconds. */
  static FolderLock await(Path folder, Path file, int seconds) throws IOException {
    long endNs = System.nanoTime() + TimeUnit.SECONDS.toNanos(seconds);
    while (true) {
      try {
        return take(folder, file);
      } catch (FileProblemException taken) {
        if (System.nanoTime() > endNs) {
          throw taken;
        }
      }
      try {
        Thread.sleep(AGAIN_MS);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw new CancellationException("the build was cancelled");
      }
    }
  }

  /**
   * Takes the lock.
   *
   * @param folder the folder that is built into, for the message
   * @param file the file that is locked
   * @throws FileProblemException if another build has it
   */
  static FolderLock take(Path folder, Path file) throws IOException {
    Path key = file.toAbsolutePath().normalize();
    synchronized (HELD) {
      if (HELD.contains(key)) {
        throw taken(folder);
      }
      FileChannel channel =
          CheckedFile.open(file, StandardOpenOption.CREATE, StandardOpenOption.WRITE);
      FileLock lock = null;
      try {
        lock = channel.tryLock();
      } finally {
        if (lock == null) {
          channel.close();
        }
      }
      if (lock == null) {
        throw taken(folder);
      }
      HELD.add(key);
      return new FolderLock(key, channel, lock);
    }
  }

  private static FileProblemException taken(Path folder) {
    return new FileProblemException(
        Reason.IN_USE,
        folder.toString(),
        "is being written to by another build",
        "wait for it to end, or choose another folder");
  }

  @Override
  public void close() throws IOException {
    synchronized (HELD) {
      HELD.remove(file);
      lock.release();
      channel.close();
    }
  }
}
