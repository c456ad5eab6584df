package takewright.library.folder;

import java.io.Closeable;
import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.channels.OverlappingFileLockException;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;

/** Keeps a second build out of a folder; the system releases it when the process ends. */
final class FolderLock implements Closeable {
  private final FileChannel channel;
  private final FileLock lock;

  private FolderLock(FileChannel channel, FileLock lock) {
    this.channel = channel;
    this.lock = lock;
  }

  /**
   * Takes the lock.
   *
   * @param folder the folder that is built into, for the message
   * @param file the file that is locked
   * @throws FileProblemException if another build has it
   */
  static FolderLock take(Path folder, Path file) throws IOException {
    FileChannel channel =
        CheckedFile.open(file, StandardOpenOption.CREATE, StandardOpenOption.WRITE);
    FileLock lock = null;
    try {
      lock = channel.tryLock();
    } catch (OverlappingFileLockException sameProcess) {
      // Another build of this process: refused like one of another process.
      lock = null;
    }
    if (lock == null) {
      channel.close();
      throw new FileProblemException(
          Reason.IN_USE,
          folder.toString(),
          "is being written to by another build",
          "wait for it to end, or choose another folder");
    }
    return new FolderLock(channel, lock);
  }

  @Override
  public void close() throws IOException {
    lock.release();
    channel.close();
  }
}
