package takewright.service;

import com.google.protobuf.Descriptors.FileDescriptor;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.SortedSet;
import java.util.TreeSet;
import java.util.function.IntSupplier;
import takewright.audio.AudioFile;
import takewright.service.access.GrantedFolders;
import takewright.service.access.Limits;
import takewright.service.build.BuildRun;
import takewright.service.call.UnaryCall;
import takewright.service.work.Workers;
import takewright.sheet.read.SheetSchema;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FormatNameRequest;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.ProtoFile;
import takewright.v1.SegmentRequest;
import takewright.v1.ServerLimits;
import takewright.v1.ServerServiceGrpc;
import takewright.v1.StartBuildRequest;

/** Facts about the service itself. */
final class ServerService extends ServerServiceGrpc.ServerServiceImplBase {
  private static final List<FileDescriptor> SERVICES =
      List.of(
          StartBuildRequest.getDescriptor().getFile(),
          FormatNameRequest.getDescriptor().getFile(),
          SegmentRequest.getDescriptor().getFile(),
          GetServerInfoRequest.getDescriptor().getFile(),
          FollowSessionRequest.getDescriptor().getFile());

  private final GrantedFolders folders;
  private final IntSupplier httpPort;

  ServerService(GrantedFolders folders, IntSupplier httpPort) {
    this.folders = folders;
    this.httpPort = httpPort;
  }

  @Override
  public void getServerInfo(
      GetServerInfoRequest request, StreamObserver<GetServerInfoResponse> answers) {
    UnaryCall.atOnce(answers, () -> info(request));
  }

  private GetServerInfoResponse info(GetServerInfoRequest request) throws IOException {
    GetServerInfoResponse.Builder info =
        GetServerInfoResponse.newBuilder()
            .setVersion(TakewrightServer.VERSION)
            .setLimits(
                ServerLimits.newBuilder()
                    .setMessageBytes(Limits.MESSAGE_BYTES)
                    .setAudioBytes(Limits.AUDIO_BYTES)
                    .setMinSampleRateHz(AudioFile.LOWEST_RATE)
                    .setMaxSampleRateHz(AudioFile.HIGHEST_RATE)
                    .setMaxChannels(AudioFile.MAX_CHANNELS)
                    .setMaxHeldS(Limits.HELD_SECONDS)
                    .setStallS(Limits.STALL_S)
                    .setCrowdedStallS(Limits.CROWDED_STALL_S)
                    .setMaxSessions(Limits.SESSIONS)
                    .setMaxWatchers(BuildRun.MAX_WATCHERS)
                    .setMaxBuilds(Workers.BATCH))
            .addAllInputFormats(List.of("wav", "wave", "aif", "aiff", "aifc", "flac"))
            .addAllOutputFormats(List.of("wav"))
            .setHttpPort(httpPort.getAsInt())
            .setCores(Runtime.getRuntime().availableProcessors());
    folders.roots().forEach(root -> info.addGrantedFolders(root.toString()));
    if (request.getWithSheetSchema()) {
      info.setSheetSchema(SheetSchema.json());
    }
    if (request.getWithProtoFiles()) {
      info.addAllProtoFiles(protoFiles());
    }
    return info.build();
  }

  /** The contract as it was written; what reflection serves has no comments. */
  private static List<ProtoFile> protoFiles() throws IOException {
    SortedSet<String> paths = new TreeSet<>();
    for (FileDescriptor service : SERVICES) {
      paths.add(service.getName());
      service.getDependencies().forEach(other -> paths.add(other.getName()));
    }
    List<ProtoFile> files = new ArrayList<>();
    for (String path : paths) {
      if (!path.startsWith("takewright/")) {
        continue;
      }
      try (InputStream in = ServerService.class.getResourceAsStream("/" + path)) {
        String text = new String(in.readAllBytes(), StandardCharsets.UTF_8);
        files.add(ProtoFile.newBuilder().setPath(path).setText(text).build());
      }
    }
    return files;
  }
}
