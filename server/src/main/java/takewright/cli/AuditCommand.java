package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.v1.AuditFinding;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.LibraryServiceGrpc;

@Command(
    name = "audit",
    mixinStandardHelpOptions = true,
    description = "Holds the names in a folder against what is heard: not in this version.")
final class AuditCommand implements Callable<Integer> {
  private static final List<String> COLUMNS =
      List.of("file", "finding", "says", "sounds", "detail");

  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(paramLabel = "DIR", description = "The folder of samples.")
  private Path folder;

  @Option(names = "--json", description = "JSON instead of CSV.")
  private boolean json;

  @Override
  public Integer call() throws IOException {
    AuditRequest request = AuditRequest.newBuilder().setFolder(LocalFiles.absolute(folder)).build();
    try (Connection.Session session = connection.open()) {
      var answers = LibraryServiceGrpc.newBlockingStub(session.channel()).audit(request);
      // The first answer before the table's header, so that a refusal leaves standard output empty.
      boolean any = answers.hasNext();
      try (Rows rows = new Rows(main.out, json, COLUMNS)) {
        while (any) {
          AuditResponse answer = answers.next();
          AuditFinding finding = answer.getFinding();
          rows.row(
              finding.getFile(),
              finding.getFinding(),
              finding.getSays(),
              finding.getSounds(),
              finding.getDetail());
          any = answers.hasNext();
        }
      }
    }
    return Main.DONE;
  }
}
