package takewright.testing;

import static java.nio.charset.StandardCharsets.UTF_8;

import java.io.IOException;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Proxy;
import java.net.URI;
import java.nio.ByteBuffer;
import java.nio.MappedByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.channels.ReadableByteChannel;
import java.nio.channels.SeekableByteChannel;
import java.nio.channels.WritableByteChannel;
import java.nio.file.AccessMode;
import java.nio.file.CopyOption;
import java.nio.file.DirectoryStream;
import java.nio.file.FileStore;
import java.nio.file.FileSystem;
import java.nio.file.FileSystems;
import java.nio.file.LinkOption;
import java.nio.file.OpenOption;
import java.nio.file.Path;
import java.nio.file.PathMatcher;
import java.nio.file.WatchService;
import java.nio.file.attribute.BasicFileAttributes;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.FileAttributeView;
import java.nio.file.attribute.UserPrincipalLookupService;
import java.nio.file.spi.FileSystemProvider;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Set;

/**
 * The usual file system, with a record of what is done to it: what was written and whether it was
 * flushed to the disk before it got its name. A loss of power cannot be tried; whether {@code
 * fsync} comes before {@code rename} can be seen.
 */
public final class RecordingFiles {
  private final FileSystem usual = FileSystems.getDefault();
  private final FileSystem files = new Files();
  private final FileSystemProvider provider = new Provider();
  private final List<String> done = new ArrayList<>();

  /** A path whose files are recorded. */
  public Path path(Path of) {
    return (Path)
        Proxy.newProxyInstance(
            RecordingFiles.class.getClassLoader(),
            new Class<?>[] {Path.class},
            (self, method, arguments) -> {
              switch (method.getName()) {
                case "getFileSystem":
                  return files;
                case "equals":
                  return of.equals(plain(arguments[0]));
                case "iterator":
                  List<Path> parts = new ArrayList<>();
                  of.forEach(part -> parts.add(path(part)));
                  return parts.iterator();
                default:
              }
              Object[] plain = arguments == null ? new Object[0] : arguments.clone();
              for (int i = 0; i < plain.length; i++) {
                plain[i] = plain(plain[i]);
              }
              try {
                Object result = method.invoke(of, plain);
                return result instanceof Path path ? path(path) : result;
              } catch (InvocationTargetException e) {
                throw e.getCause();
              }
            });
  }

  /**
   * What was done so far: "write NAME", "force NAME", "rename NAME to NAME", in order; of a file of
   * JSON lines "write NAME LINES".
   */
  public synchronized List<String> done() {
    return List.copyOf(done);
  }

  private synchronized void note(String what) {
    // Many writes on end are one.
    boolean isMore = what.startsWith("write ") && what.equals(last());
    if (!isMore) {
      done.add(what);
    }
  }

  private String last() {
    return done.isEmpty() ? "" : done.get(done.size() - 1);
  }

  private static Object plain(Object value) {
    if (value instanceof Path path && Proxy.isProxyClass(value.getClass())) {
      return Path.of(path.toString());
    }
    return value;
  }

  private static Path plainPath(Path path) {
    return (Path) plain(path);
  }

  private static String name(Path path) {
    return String.valueOf(path.getFileName());
  }

  private final class Channel extends FileChannel {
    private final FileChannel channel;
    private final String name;

    Channel(FileChannel channel, Path path) {
      this.channel = channel;
      this.name = name(path);
    }

    @Override
    public int read(ByteBuffer to) throws IOException {
      return channel.read(to);
    }

    @Override
    public long read(ByteBuffer[] to, int offset, int length) throws IOException {
      return channel.read(to, offset, length);
    }

    @Override
    public int write(ByteBuffer from) throws IOException {
      boolean isLines = name.endsWith(".jsonl");
      note("write " + name + (isLines ? " " + UTF_8.decode(from.duplicate()) : ""));
      return channel.write(from);
    }

    @Override
    public long write(ByteBuffer[] from, int offset, int length) throws IOException {
      note("write " + name);
      return channel.write(from, offset, length);
    }

    @Override
    public long position() throws IOException {
      return channel.position();
    }

    @Override
    public FileChannel position(long position) throws IOException {
      channel.position(position);
      return this;
    }

    @Override
    public long size() throws IOException {
      return channel.size();
    }

    @Override
    public FileChannel truncate(long size) throws IOException {
      note("write " + name);
      channel.truncate(size);
      return this;
    }

    @Override
    public void force(boolean metadata) throws IOException {
      note("force " + name);
      channel.force(metadata);
    }

    @Override
    public long transferTo(long position, long count, WritableByteChannel target)
        throws IOException {
      return channel.transferTo(position, count, target);
    }

    @Override
    public long transferFrom(ReadableByteChannel source, long position, long count)
        throws IOException {
      note("write " + name);
      return channel.transferFrom(source, position, count);
    }

    @Override
    public int read(ByteBuffer to, long position) throws IOException {
      return channel.read(to, position);
    }

    @Override
    public int write(ByteBuffer from, long position) throws IOException {
      note("write " + name);
      return channel.write(from, position);
    }

    @Override
    public MappedByteBuffer map(MapMode mode, long position, long size) throws IOException {
      return channel.map(mode, position, size);
    }

    @Override
    public FileLock lock(long position, long size, boolean shared) throws IOException {
      return channel.lock(position, size, shared);
    }

    @Override
    public FileLock tryLock(long position, long size, boolean shared) throws IOException {
      return channel.tryLock(position, size, shared);
    }

    @Override
    protected void implCloseChannel() throws IOException {
      channel.close();
    }
  }

  private final class Provider extends FileSystemProvider {
    private final FileSystemProvider of = usual.provider();

    @Override
    public String getScheme() {
      return "recorded";
    }

    @Override
    public FileSystem newFileSystem(URI uri, Map<String, ?> environment) {
      throw new UnsupportedOperationException();
    }

    @Override
    public FileSystem getFileSystem(URI uri) {
      return files;
    }

    @Override
    public Path getPath(URI uri) {
      return path(Path.of(uri));
    }

    @Override
    public FileChannel newFileChannel(
        Path path, Set<? extends OpenOption> options, FileAttribute<?>... attributes)
        throws IOException {
      return new Channel(of.newFileChannel(plainPath(path), options, attributes), path);
    }

    @Override
    public SeekableByteChannel newByteChannel(
        Path path, Set<? extends OpenOption> options, FileAttribute<?>... attributes)
        throws IOException {
      return newFileChannel(path, options, attributes);
    }

    @Override
    public DirectoryStream<Path> newDirectoryStream(
        Path folder, DirectoryStream.Filter<? super Path> filter) throws IOException {
      DirectoryStream<Path> stream =
          of.newDirectoryStream(plainPath(folder), entry -> filter.accept(path(entry)));
      return new DirectoryStream<>() {
        @Override
        public Iterator<Path> iterator() {
          List<Path> entries = new ArrayList<>();
          stream.forEach(entry -> entries.add(path(entry)));
          return entries.iterator();
        }

        @Override
        public void close() throws IOException {
          stream.close();
        }
      };
    }

    @Override
    public void createDirectory(Path folder, FileAttribute<?>... attributes) throws IOException {
      of.createDirectory(plainPath(folder), attributes);
      note("make " + name(folder) + " in " + name(folder.getParent()));
    }

    @Override
    public void delete(Path path) throws IOException {
      of.delete(plainPath(path));
    }

    @Override
    public void copy(Path source, Path target, CopyOption... options) throws IOException {
      note("write " + name(target));
      of.copy(plainPath(source), plainPath(target), options);
    }

    @Override
    public void move(Path source, Path target, CopyOption... options) throws IOException {
      note("rename " + name(source) + " to " + name(target));
      of.move(plainPath(source), plainPath(target), options);
    }

    @Override
    public boolean isSameFile(Path one, Path other) throws IOException {
      return of.isSameFile(plainPath(one), plainPath(other));
    }

    @Override
    public boolean isHidden(Path path) throws IOException {
      return of.isHidden(plainPath(path));
    }

    @Override
    public FileStore getFileStore(Path path) throws IOException {
      return of.getFileStore(plainPath(path));
    }

    @Override
    public void checkAccess(Path path, AccessMode... modes) throws IOException {
      of.checkAccess(plainPath(path), modes);
    }

    @Override
    public <V extends FileAttributeView> V getFileAttributeView(
        Path path, Class<V> type, LinkOption... options) {
      return of.getFileAttributeView(plainPath(path), type, options);
    }

    @Override
    public <A extends BasicFileAttributes> A readAttributes(
        Path path, Class<A> type, LinkOption... options) throws IOException {
      return of.readAttributes(plainPath(path), type, options);
    }

    @Override
    public Map<String, Object> readAttributes(Path path, String names, LinkOption... options)
        throws IOException {
      return of.readAttributes(plainPath(path), names, options);
    }

    @Override
    public void setAttribute(Path path, String name, Object value, LinkOption... options)
        throws IOException {
      of.setAttribute(plainPath(path), name, value, options);
    }
  }

  private final class Files extends FileSystem {
    @Override
    public FileSystemProvider provider() {
      return provider;
    }

    @Override
    public void close() {}

    @Override
    public boolean isOpen() {
      return true;
    }

    @Override
    public boolean isReadOnly() {
      return false;
    }

    @Override
    public String getSeparator() {
      return usual.getSeparator();
    }

    @Override
    public Iterable<Path> getRootDirectories() {
      return usual.getRootDirectories();
    }

    @Override
    public Iterable<FileStore> getFileStores() {
      return usual.getFileStores();
    }

    @Override
    public Set<String> supportedFileAttributeViews() {
      return usual.supportedFileAttributeViews();
    }

    @Override
    public Path getPath(String first, String... more) {
      return path(usual.getPath(first, more));
    }

    @Override
    public PathMatcher getPathMatcher(String pattern) {
      PathMatcher matcher = usual.getPathMatcher(pattern);
      return path -> matcher.matches(plainPath(path));
    }

    @Override
    public UserPrincipalLookupService getUserPrincipalLookupService() {
      return usual.getUserPrincipalLookupService();
    }

    @Override
    public WatchService newWatchService() throws IOException {
      return usual.newWatchService();
    }
  }
}
