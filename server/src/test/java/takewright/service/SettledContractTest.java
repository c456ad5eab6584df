package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.DescriptorProtos.DescriptorProto;
import com.google.protobuf.DescriptorProtos.EnumDescriptorProto;
import com.google.protobuf.DescriptorProtos.EnumValueDescriptorProto;
import com.google.protobuf.DescriptorProtos.FieldDescriptorProto;
import com.google.protobuf.DescriptorProtos.FileDescriptorProto;
import com.google.protobuf.DescriptorProtos.FileDescriptorSet;
import com.google.protobuf.DescriptorProtos.MethodDescriptorProto;
import com.google.protobuf.DescriptorProtos.ServiceDescriptorProto;
import com.google.protobuf.Descriptors.FileDescriptor;
import io.grpc.ServiceDescriptor;
import io.grpc.protobuf.ProtoFileDescriptorSupplier;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.ServerServiceGrpc;
import takewright.v1.SessionServiceGrpc;

/**
 * The contract is the one that was settled, so that nobody changes it by the way. Whether a change
 * breaks callers is what buf says, when it is settled and with the other tests.
 */
class SettledContractTest {
  private static final String OURS = "takewright/";

  /** The contract as it was settled, without the files of others that it imports. */
  private static Map<String, FileDescriptorProto> settled() throws IOException {
    Map<String, FileDescriptorProto> files = new TreeMap<>();
    byte[] set = Files.readAllBytes(Path.of("../proto/settled.binpb"));
    for (FileDescriptorProto file : FileDescriptorSet.parseFrom(set).getFileList()) {
      if (file.getName().startsWith(OURS)) {
        files.put(file.getName(), file);
      }
    }
    return files;
  }

  /** The contract as the service has it. */
  private static Map<String, FileDescriptorProto> served() {
    Map<String, FileDescriptorProto> files = new TreeMap<>();
    for (ServiceDescriptor service :
        List.of(
            OperationsServiceGrpc.getServiceDescriptor(),
            LibraryServiceGrpc.getServiceDescriptor(),
            NamingServiceGrpc.getServiceDescriptor(),
            SessionServiceGrpc.getServiceDescriptor(),
            ServerServiceGrpc.getServiceDescriptor())) {
      add(((ProtoFileDescriptorSupplier) service.getSchemaDescriptor()).getFileDescriptor(), files);
    }
    return files;
  }

  private static void add(FileDescriptor file, Map<String, FileDescriptorProto> files) {
    if (file.getName().startsWith(OURS)) {
      files.put(file.getName(), file.toProto());
      file.getDependencies().forEach(imported -> add(imported, files));
    }
  }

  @Test
  void everyFieldMessageValueAndMethodIsSettled() throws IOException {
    List<String> changes = changes(settled().values(), served().values());
    assertTrue(
        changes.isEmpty(),
        () ->
            "not as in proto/settled.binpb: "
                + String.join(", ", changes)
                + "; if that is meant, run ./takewright test --settle and commit the file too");
    assertEquals(settled().keySet(), served().keySet());
  }

  @Test
  void whatIsAddedChangedOrTakenAwayIsNamed() throws IOException {
    Map<String, FileDescriptorProto> settled = settled();
    FileDescriptorProto audio = settled.get("takewright/v1/audio.proto");
    FileDescriptorProto.Builder planted = audio.toBuilder();
    FieldDescriptorProto rate = format(planted).getField(1);
    format(planted).addField(rate.toBuilder().setName("planted").setNumber(99));
    assertEquals(List.of("takewright.v1.PcmFormat.planted"), changes(audio, planted));

    planted = audio.toBuilder();
    format(planted).getFieldBuilder(1).setType(FieldDescriptorProto.Type.TYPE_INT64);
    assertEquals(List.of("takewright.v1.PcmFormat.sample_rate_hz"), changes(audio, planted));

    planted = audio.toBuilder();
    planted.getEnumTypeBuilder(0).removeValue(1);
    assertEquals(List.of("takewright.v1.PcmEncoding.PCM_ENCODING_INT16"), changes(audio, planted));

    FileDescriptorProto naming = settled.get("takewright/v1/naming.proto");
    planted = naming.toBuilder();
    planted.getServiceBuilder(0).getMethodBuilder(0).setServerStreaming(true);
    assertEquals(List.of("takewright.v1.NamingService.FormatName"), changes(naming, planted));
  }

  private static DescriptorProto.Builder format(FileDescriptorProto.Builder audio) {
    DescriptorProto.Builder format = audio.getMessageTypeBuilder(0);
    assertEquals("PcmFormat", format.getName());
    return format;
  }

  private static List<String> changes(FileDescriptorProto from, FileDescriptorProto.Builder to) {
    return changes(List.of(from), List.of(to.build()));
  }

  /** The names of all that differs. */
  private static List<String> changes(
      Collection<FileDescriptorProto> from, Collection<FileDescriptorProto> to) {
    Map<String, String> before = elements(from);
    Map<String, String> after = elements(to);
    TreeSet<String> names = new TreeSet<>(before.keySet());
    names.addAll(after.keySet());
    List<String> changed = new ArrayList<>();
    for (String name : names) {
      if (!Objects.equals(before.get(name), after.get(name))) {
        changed.add(name);
      }
    }
    return changed;
  }

  /** What callers rely on: the text of each element by its full name. */
  private static Map<String, String> elements(Collection<FileDescriptorProto> files) {
    Map<String, String> elements = new TreeMap<>();
    for (FileDescriptorProto file : files) {
      String start = file.getPackage() + ".";
      file.getMessageTypeList().forEach(message -> add(start, message, elements));
      file.getEnumTypeList().forEach(values -> add(start, values, elements));
      for (ServiceDescriptorProto service : file.getServiceList()) {
        elements.put(start + service.getName(), "service");
        for (MethodDescriptorProto method : service.getMethodList()) {
          elements.put(start + service.getName() + "." + method.getName(), method.toString());
        }
      }
    }
    return elements;
  }

  private static void add(String start, DescriptorProto message, Map<String, String> elements) {
    String name = start + message.getName();
    elements.put(name, "message " + message.getReservedRangeList() + message.getReservedNameList());
    for (FieldDescriptorProto field : message.getFieldList()) {
      String choice =
          field.hasOneofIndex() ? message.getOneofDecl(field.getOneofIndex()).getName() : "";
      // What the JSON name is, only some compilers write down; it follows from the name.
      String text = field.toBuilder().clearJsonName().clearOneofIndex().build().toString();
      elements.put(name + "." + field.getName(), text + choice);
    }
    message.getNestedTypeList().forEach(nested -> add(name + ".", nested, elements));
    message.getEnumTypeList().forEach(values -> add(name + ".", values, elements));
  }

  private static void add(String start, EnumDescriptorProto values, Map<String, String> elements) {
    String name = start + values.getName();
    elements.put(name, "enum " + values.getReservedRangeList() + values.getReservedNameList());
    for (EnumValueDescriptorProto value : values.getValueList()) {
      elements.put(name + "." + value.getName(), value.toString());
    }
  }
}
